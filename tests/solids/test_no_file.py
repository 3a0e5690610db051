"""What stands where a mesh should: a folder, a pipe, a device, a loop of links."""

import os

import pytest

from nests.faces.cli import main


def refused(capsys, path):
    with pytest.raises(SystemExit) as left:
        main(["check", str(path)])
    said = capsys.readouterr()
    assert left.value.code == 2
    assert said.out == ""
    assert said.err.count("\n") == 1
    return said.err


@pytest.mark.parametrize("kind", ["stl", "3mf", "obj", "ply", "off", "glb"])
def test_a_folder_a_pipe_a_device_and_a_loop_are_refused(capsys, tmp_path, kind):
    folder, pipe = tmp_path / f"folder.{kind}", tmp_path / f"pipe.{kind}"
    zero, one, two = (tmp_path / f"{name}.{kind}" for name in ("zero", "one", "two"))
    folder.mkdir()
    os.mkfifo(pipe)
    zero.symlink_to("/dev/zero")
    one.symlink_to(two)
    two.symlink_to(one)
    assert "is a folder; a mesh is a file." in refused(capsys, folder)
    assert "is a device or a pipe; a mesh is a file." in refused(capsys, pipe)
    assert "is a device or a pipe; a mesh is a file." in refused(capsys, zero)
    assert "cannot be read: " in refused(capsys, one)
