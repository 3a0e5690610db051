"""Folders that appear at once: nothing of anybody else's is lost, and half a replacement mended."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from nests.documents import folders
from nests.documents.files import read_json, write_file
from nests.documents.folders import LIST, appearing, require_room, write_folder, write_list
from nests.units import BadInput

FIRST = {"recipe.json": b"{}\n", "holder.stl": b"solid"}
SECOND = {"recipe.json": b"{ }\n", "drawing.pdf": b"%PDF"}


def put(target: Path, files: dict[str, bytes], *, replace: bool = False) -> None:
    with appearing(target, replace=replace) as fresh:
        for name, content in files.items():
            (fresh / name).parent.mkdir(exist_ok=True)
            (fresh / name).write_bytes(content)
        write_list(fresh)


def tree(folder: Path) -> dict[str, bytes]:
    """All that stands below a folder, but the list."""
    return {
        each.relative_to(folder).as_posix(): each.read_bytes() if each.is_file() else b"<other>"
        for each in sorted(folder.rglob("*"))
        if each.name != LIST and (not each.is_dir() or each.is_symlink())
    }


@pytest.fixture
def pack(tmp_path: Path) -> Path:
    put(tmp_path / "pack", FIRST)
    return tmp_path / "pack"


def test_the_list_has_the_sha_256_of_every_file(pack: Path) -> None:
    """Against hashlib, and of the empty text the digest that FIPS 180-4 examples give."""
    said = read_json(pack / LIST)["sha256"]
    assert said == {name: sha256(content).hexdigest() for name, content in FIRST.items()}
    empty = folders.listing([("none", b"")]).decode()
    assert "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855" in empty


def test_as_it_was_written_it_is_replaced(pack: Path) -> None:
    (pack / ".DS_Store").write_bytes(b"left by a desktop")
    put(pack, SECOND, replace=True)
    assert tree(pack) == SECOND
    assert [each.name for each in pack.parent.iterdir()] == ["pack"]


def note(pack: Path) -> str:
    (pack / "note.txt").write_text("mine")
    return "note.txt"


def changed(pack: Path) -> str:
    (pack / "recipe.json").write_bytes(b"{\n}\n")
    return "recipe.json"


def photograph_in_a_folder(pack: Path) -> str:
    (pack / "shots").mkdir()
    (pack / "shots" / "one.jpg").write_bytes(b"\xff\xd8")
    return "shots/one.jpg"


def linked_folder(pack: Path) -> str:
    (pack.parent / "home").mkdir()
    (pack.parent / "home" / "letter").write_text("dear")
    (pack / "home").symlink_to(pack.parent / "home")
    return "home"


def pipe_in_place_of_a_file(pack: Path) -> str:
    (pack / "holder.stl").unlink()
    os.mkfifo(pack / "holder.stl")
    return "holder.stl"


def folder_in_place_of_a_file(pack: Path) -> str:
    (pack / "holder.stl").unlink()
    (pack / "holder.stl").mkdir()
    (pack / "holder.stl" / "mine").write_text("mine")
    return "holder.stl/mine"


def no_list(pack: Path) -> str:
    (pack / LIST).unlink()
    return LIST


def spoilt_list(pack: Path) -> str:
    (pack / LIST).write_text('{"sha256": ["recipe.json"]}')
    return LIST


@pytest.mark.parametrize(
    "spoil",
    [note, changed, photograph_in_a_folder, linked_folder, pipe_in_place_of_a_file,
     folder_in_place_of_a_file, no_list, spoilt_list],
)  # fmt: skip
def test_what_is_not_of_the_last_pack_is_named_and_kept(
    pack: Path, spoil: Callable[[Path], str]
) -> None:
    name = spoil(pack)
    before = tree(pack.parent)
    with pytest.raises(BadInput) as refused:
        put(pack, SECOND, replace=True)
    assert name in str(refused.value)
    assert tree(pack.parent) == before


def test_a_file_that_came_while_the_new_one_was_made_is_kept(pack: Path) -> None:
    def disturbed() -> None:
        with appearing(pack, replace=True) as fresh:
            (fresh / "recipe.json").write_bytes(b"new")
            note(pack)

    with pytest.raises(BadInput, match=r"note\.txt"):
        disturbed()
    assert tree(pack) == {**FIRST, "note.txt": b"mine"}
    assert [each.name for each in pack.parent.iterdir()] == ["pack"]


@pytest.mark.parametrize("fault", [ValueError, KeyboardInterrupt, SystemExit, OSError])
def test_left_by_an_error_nothing_is_there_and_the_old_stands(
    tmp_path: Path, pack: Path, fault: type[BaseException]
) -> None:
    def left(target: Path) -> None:
        with appearing(target, replace=True) as fresh:
            (fresh / "recipe.json").write_bytes(b"new")
            raise fault

    for target in (pack, tmp_path / "new"):
        with pytest.raises((fault, BadInput)):
            left(target)
    assert tree(pack) == FIRST
    assert [each.name for each in tmp_path.iterdir()] == ["pack"]


def test_a_link_to_a_folder_stays_a_link(tmp_path: Path, pack: Path) -> None:
    (tmp_path / "link").symlink_to(pack)
    put(tmp_path / "link", SECOND, replace=True)
    assert (tmp_path / "link").is_symlink()
    assert tree(pack) == SECOND


KILLED = """
import os, signal, sys
from pathlib import Path
sys.path.insert(0, {tests!r})
from test_folders import SECOND, put
plain, count = Path.rename, [{after}]
def rename(self, target):
    if not count[0]:
        os.kill(os.getpid(), signal.SIGKILL)
    count[0] -= 1
    return plain(self, target)
Path.rename = rename
put(Path({target!r}), SECOND, replace=True)
os.kill(os.getpid(), signal.SIGKILL)
"""


def killed(target: Path, after: int) -> None:
    """A run that is killed before its rename number `after`, counted from 0."""
    code = KILLED.format(tests=str(Path(__file__).parent), target=str(target), after=after)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == -signal.SIGKILL, done.stderr


@pytest.mark.parametrize(("after", "there"), [(0, FIRST), (1, FIRST), (2, SECOND)])
def test_a_killed_replacement_is_set_right_by_the_next_run(
    pack: Path, after: int, there: dict[str, bytes]
) -> None:
    """Before the first rename, between the two, and after both."""
    killed(pack, after)
    if after == 1:
        assert not pack.exists()
    with pytest.raises(BadInput, match="exists already"):
        require_room(pack, replace=False)
    assert tree(pack) == there
    assert [each.name for each in pack.parent.iterdir()] == ["pack"]
    put(pack, FIRST, replace=True)
    assert tree(pack) == FIRST


def test_what_another_run_is_writing_is_left_to_it(pack: Path) -> None:
    with appearing(pack.with_name("new"), replace=False) as fresh:
        require_room(pack.with_name("new"), replace=False)
        assert fresh.is_dir()
        (fresh / "recipe.json").write_bytes(b"new")
    assert tree(pack.with_name("new")) == {"recipe.json": b"new"}


def test_hidden_folders_of_other_names_are_nobodys_leavings(pack: Path) -> None:
    for name in (".pack.notes", ".pack.nests-mine", ".pack2.nests-abcdefgh", ".pack.before"):
        pack.with_name(name).mkdir()
        (pack.with_name(name) / "mine").write_text("mine")
    before = tree(pack.parent)
    require_room(pack, replace=True)
    assert tree(pack.parent) == before


def dead_end(folder: Path) -> Path:
    (folder / "a").symlink_to(folder / "b")
    (folder / "b").symlink_to(folder / "a")
    return folder / "a"


def below_a_dead_end(folder: Path) -> Path:
    return dead_end(folder) / "out"


def below_a_file(folder: Path) -> Path:
    (folder / "file").write_text("mine")
    return folder / "file" / "out"


def a_file(folder: Path) -> Path:
    return below_a_file(folder).parent


def a_pipe(folder: Path) -> Path:
    os.mkfifo(folder / "pipe")
    return folder / "pipe"


def too_long(folder: Path) -> Path:
    return folder / ("n" * 256)


def too_long_in_bytes(folder: Path) -> Path:
    return folder / ("時" * 86)


def below_too_long(folder: Path) -> Path:
    return too_long(folder) / "out"


def far_too_deep(folder: Path) -> Path:
    return folder.joinpath(*["deep"] * 1200)


def in_the_kernels(folder: Path) -> Path:
    return Path("/proc/self/nothing")


@pytest.mark.parametrize(
    "place",
    [dead_end, below_a_dead_end, below_a_file, a_file, a_pipe, too_long, too_long_in_bytes,
     below_too_long, far_too_deep, in_the_kernels],
)  # fmt: skip
@pytest.mark.parametrize("replace", [False, True])
def test_where_no_folder_can_be_is_said_in_one_sentence(
    tmp_path: Path, place: Callable[[Path], Path], replace: bool
) -> None:
    target = place(tmp_path)
    before = sorted(each.name for each in tmp_path.iterdir())
    with pytest.raises(BadInput) as refused:
        put(target, FIRST, replace=replace)
    assert "\n" not in str(refused.value)
    assert sorted(each.name for each in tmp_path.iterdir()) == before


def test_the_longest_name_there_can_be_is_written_and_replaced(tmp_path: Path) -> None:
    target = tmp_path / ("n" * 255)
    put(target, FIRST)
    put(target, SECOND, replace=True)
    assert tree(target) == SECOND
    write_file(tmp_path / ("f" * 255), b"file")
    assert sorted(len(each.name) for each in tmp_path.iterdir()) == [255, 255]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written_into(tmp_path: Path) -> None:
    tmp_path.chmod(0o555)
    try:
        with pytest.raises(BadInput, match="may be written"):
            put(tmp_path / "out", FIRST)
    finally:
        tmp_path.chmod(0o755)


def test_a_folder_that_may_not_be_written_into_as_the_system_says_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "access", lambda path, mode: Path(path) != tmp_path)
    with pytest.raises(BadInput, match="may be written"):
        require_room(tmp_path / "some" / "out", replace=False)


def test_the_folder_one_stands_in_does_not_go_from_under_ones_feet(
    pack: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(pack)
    for target in (Path("."), pack, Path("../pack")):
        with pytest.raises(BadInput, match="started in"):
            put(target, SECOND, replace=True)
    assert tree(pack) == FIRST


def test_a_folder_that_is_gone_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    with pytest.raises(BadInput, match="out cannot be written"):
        put(Path("out"), FIRST)
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("kind", ["pipe", "device", "folder", "dead end", "too long"])
def test_a_file_is_never_written_over_what_is_none(tmp_path: Path, kind: str) -> None:
    target = tmp_path / "out.json"
    if kind == "pipe":
        os.mkfifo(target)
    elif kind == "device":
        target.symlink_to("/dev/null")
    elif kind == "folder":
        target.mkdir()
    elif kind == "too long":
        target = tmp_path / ("n" * 300)
    if kind == "dead end":  # a link that leads nowhere is in nobody's way
        target = dead_end(tmp_path) / "out.json"
    before = sorted(each.name for each in tmp_path.iterdir())
    with pytest.raises(BadInput, match=r"out\.json|nnn"):
        write_file(target, b"{}")
    assert sorted(each.name for each in tmp_path.iterdir()) == before
    assert kind != "device" or Path("/dev/null").is_char_device()


@pytest.mark.parametrize("kind", ["dead end", "device", "folder", "too long", "no text"])
def test_a_document_without_an_end_is_given_up(tmp_path: Path, kind: str) -> None:
    """Pipes are in tests/documents/test_reading.py."""
    path = {
        "dead end": dead_end, "too long": too_long,
        "device": lambda _: Path("/dev/zero"), "folder": lambda folder: folder,
        "no text": lambda folder: folder / "n\udce9.json",
    }[kind](tmp_path)  # fmt: skip
    began = time.monotonic()
    with pytest.raises(BadInput):
        read_json(path)
    assert time.monotonic() - began < 5.0


def test_two_runs_at_once_leave_one_whole_folder(tmp_path: Path) -> None:
    """Many at once replace one folder; what stands there is of one of them, and nothing beside."""
    code = (
        f"import sys; sys.path.insert(0, {str(Path(__file__).parent)!r})\n"
        "from pathlib import Path; from test_folders import put\n"
        "from nests.units import BadInput\n"
        "for turn in range(8):\n"
        "    try:\n"
        "        put(Path(sys.argv[1]), {f'{n}': sys.argv[2].encode() for n in range(5)},"
        " replace=True)\n"
        "    except BadInput:\n"
        "        pass\n"
    )
    target = tmp_path / "pack"
    runs = [subprocess.Popen([sys.executable, "-c", code, str(target), each]) for each in "abc"]
    assert [each.wait(60) for each in runs] == [0, 0, 0]
    require_room(target, replace=True)
    assert len(set(tree(target).values())) == 1
    assert [each.name for each in tmp_path.iterdir()] == ["pack"]


def test_a_folder_may_be_written_without_a_list(tmp_path: Path) -> None:
    write_folder(tmp_path / "drawer", FIRST.items(), replace=False)
    assert sorted(each.name for each in (tmp_path / "drawer").iterdir()) == sorted(FIRST)
    with pytest.raises(BadInput, match="not a pack"):
        write_folder(tmp_path / "drawer", SECOND.items(), replace=True)
