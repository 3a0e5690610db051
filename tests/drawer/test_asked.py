"""A reading that can hardly be true is asked about at a terminal, and never kept unasked.

The terminal is a pseudo-terminal of the system (POSIX.1-2017, posix_openpt): what is typed reaches
the program as from a keyboard, and the end of the input is the control character EOT.
"""

from __future__ import annotations

import os
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest

from nests.documents.files import canonical
from nests.drawer.shelf import every_holder
from nests.kinds import document

pty = pytest.importorskip("pty")
END_OF_INPUT = "\x04"
MOST = 60.0
"""Seconds in which a program must have ended."""


def at_terminal(arguments: list[str], answer: str) -> tuple[int, str]:
    """What a program says at a terminal, and how it ends; the answer is typed when it asks."""
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "nests", *arguments],
        stdin=theirs, stdout=theirs, stderr=theirs, close_fds=True, start_new_session=True,
    ) as program:  # fmt: skip
        os.close(theirs)
        said, typed, end = b"", False, time.monotonic() + MOST
        while time.monotonic() < end:
            if not select.select([ours], [], [], 1.0)[0]:
                continue
            try:
                more = os.read(ours, 4096)
            except OSError:  # Linux says so when the other end is closed
                break
            if not more:
                break
            said += more
            if not typed and said.rstrip().endswith(b"[y/N]:"):
                os.write(ours, answer.encode())
                typed = True
        os.close(ours)
        try:
            code = program.wait(max(end - time.monotonic(), 1.0))
        except subprocess.TimeoutExpired:
            program.kill()
            raise
    return code, said.decode().replace("\r\n", "\n")


@pytest.fixture
def pack(tmp_path: Path, plain) -> Path:
    (tmp_path / "recipe.json").write_bytes(canonical(document(plain)))
    return tmp_path


@pytest.mark.slow
@pytest.mark.parametrize(
    ("answer", "kept"),
    [("y\n", True), ("n\n", False), ("\n", False), (END_OF_INPUT, False), ("what\nyes\n", True)],
    ids=["yes", "no", "empty", "end of input", "no answer, then yes"],
)
def test_a_seat_two_tenths_off_is_asked_about(pack: Path, answer: str, kept: bool) -> None:
    """Drawn 26.10 mm, read 26.30 mm: it is kept as read by a yes, and by nothing else."""
    drawer = pack / "drawer"
    code, said = at_terminal(["file", str(pack), "--drawer", str(drawer), "seat=26.30"], answer)
    assert "? seat is 26.3 mm, but 26.10 ± 0.03 mm is asked" in said
    assert "0.20 mm off: is that the reading?\nKeep it as read? [y/N]:" in said
    assert "--as-read" not in said
    assert "Traceback" not in said
    if kept:
        assert code == 0
        (holder,), _ = every_holder(drawer)
        assert holder.now.readings.gauged == {"seat": (26.3,)}
        assert f"{holder.id}: " in said
        assert f"; filed in {drawer}." in said
    else:
        assert code == 2
        assert said.rstrip().endswith("nests: nothing was kept; gauge it again.")
        assert not drawer.exists()


@pytest.mark.slow
def test_a_later_reading_is_asked_about_too_and_what_was_known_stays(pack: Path, plain) -> None:
    drawer = pack / "drawer"
    code, _ = at_terminal(["file", str(pack), "--drawer", str(drawer), "seat=26.11"], "")
    (holder,), _ = every_holder(drawer)
    asked = ["drawer", "measure", holder.id, "--drawer", str(drawer), "seat=25.80", "ledge=7.6"]
    code, said = at_terminal(asked, "n\n")
    assert code == 2
    assert "Keep them as read?" in said or "ledge is 7.6 mm" in said
    (holder,), _ = every_holder(drawer)
    assert holder.now.readings.gauged == {"seat": (26.11,)}
