"""What is said: into full disks, closed pipes, closed streams, and on terminals of few letters."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from nests.documents.files import canonical, data_folder
from nests.faces.output import SPELT, one_line
from nests.units import BadInput

ROOT = Path(__file__).parents[2]
SHEET = str(data_folder("gallery") / "sheets" / "inv-26-a.json")
SMALL = ["make", "round", "--diameter", "20", "--height", "3", "--no-papers", "--out"]


def nests(
    *arguments: str | bytes, redirect: str = "", **environment: str
) -> subprocess.CompletedProcess[bytes]:
    """A run of the program, its streams led where a shell leads them."""
    line = [b'exec "$@" ' + redirect.encode(), b"sh", sys.executable.encode(), b"-m", b"nests"]
    return subprocess.run(
        [b"sh", b"-c", *line, *(os.fsencode(each) for each in arguments)],
        capture_output=True, check=False, cwd=ROOT, timeout=60,
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
    )  # fmt: skip


@pytest.mark.parametrize("arguments", [("check", SHEET), ("check", "--json", SHEET), ("--help",)])
def test_an_output_that_is_full_is_told(arguments: tuple[str, ...]) -> None:
    ran = nests(*arguments, redirect=">/dev/full")
    assert ran.returncode == 2
    assert ran.stderr == b"nests: the output cannot be written: No space left on device.\n"
    assert nests(*arguments, redirect=">/dev/full 2>/dev/full").returncode == 2


def test_where_only_the_errors_are_full_the_verdict_stands() -> None:
    ran = nests("check", "none.json", redirect="2>/dev/full")
    assert (ran.returncode, ran.stdout) == (2, b"")
    assert nests("check", SHEET, redirect="2>/dev/full").returncode == 0


@pytest.mark.parametrize("streams", [">&-", "2>&-", ">&- 2>&-", "<&- >&- 2>&-"])
def test_with_closed_streams_the_work_is_done(tmp_path: Path, streams: str) -> None:
    ran = nests(*SMALL, str(tmp_path / "out"), redirect=streams)
    assert ran.returncode == 0
    assert b"Traceback" not in ran.stderr
    assert (tmp_path / "out" / "holder.3mf").is_file()


def test_a_reader_that_goes_away_changes_nothing(tmp_path: Path) -> None:
    """As `| head -1` does: the work is done, the verdict stands, and nothing is complained of."""
    spoilt = json.loads(Path(SHEET).read_text("utf-8"))
    spoilt["casing_ledge"]["height"] = spoilt["rim"]
    (tmp_path / "spoilt.json").write_bytes(canonical(spoilt))
    for arguments, code in (
        (("check", SHEET), 0),
        (("check", str(tmp_path / "spoilt.json")), 1),
        ((*SMALL, str(tmp_path / "out")), 0),
        (("--help",), 0),
    ):
        reads, writes = os.pipe()
        os.close(reads)
        ran = subprocess.run(
            [sys.executable, "-m", "nests", *arguments],
            stdout=writes, stderr=subprocess.PIPE, check=False, cwd=ROOT, timeout=60,
        )  # fmt: skip
        os.close(writes)
        assert (ran.returncode, ran.stderr) == (code, b"")
    assert (tmp_path / "out" / "holder.3mf").is_file()


@pytest.mark.parametrize(
    ("environment", "coding"),
    [
        ({"PYTHONIOENCODING": "ascii"}, "ascii"),
        ({"PYTHONIOENCODING": "cp1252"}, "cp1252"),
        ({"PYTHONIOENCODING": "cp437:strict"}, "cp437"),
        ({"PYTHONIOENCODING": "latin-1"}, "latin-1"),
        ({"PYTHONUTF8": "0", "LC_ALL": "C"}, "ascii"),
    ],
)
def test_a_terminal_of_few_letters_gets_signs_spelt_out(
    environment: dict[str, str], coding: str
) -> None:
    ran = nests("make", "round", "--help", **environment)
    assert (ran.returncode, ran.stderr) == (0, b"")
    assert "dia. of the rim" in " ".join(ran.stdout.decode(coding).split())
    whole = nests("make", "round", "--help", PYTHONIOENCODING="utf-8").stdout.decode()
    assert "⌀ of the rim" in " ".join(whole.split())


@pytest.mark.parametrize("coding", ["ascii", "cp1252", "utf-8"])
def test_json_keeps_every_letter_on_any_terminal(tmp_path: Path, coding: str) -> None:
    data = json.loads(Path(SHEET).read_text("utf-8"))
    data["name"] = "⌀ 時計 é"
    path = tmp_path / "sheet.json"
    path.write_bytes(canonical(data))
    ran = nests("check", "--json", str(path), PYTHONIOENCODING=coding)
    said = json.loads(ran.stdout.decode(coding))
    assert any("⌀ 時計 é" in each["says"] for each in said["findings"])


def test_no_sign_is_spelt_as_the_mark_of_the_unknown() -> None:
    assert not any("?" in each or not each.isascii() for each in SPELT.values())


@pytest.mark.parametrize(
    "arguments",
    [
        (b"check", b"caf\xe9.json"),
        (*map(str.encode, SMALL), b"caf\xe9"),
        (*map(str.encode, SMALL), b"out", b"--date", b"caf\xe9"),
        (b"make", b"round", b"--sheet=caf\xe9", b"--out", b"out"),
        (b"plan", b"--sheet", SHEET.encode(), b"--work", b"caf\xe9", b"--out", b"out"),
        (b"caf\xe9",),
        (b"--caf\xe9",),
    ],
)
def test_an_argument_that_is_no_text_costs_one_sentence(
    tmp_path: Path, arguments: tuple[bytes, ...]
) -> None:
    places = {b"out": os.fsencode(tmp_path / "out"), b"caf\xe9": os.fsencode(tmp_path) + b"/\xe9"}
    ran = nests(*(places.get(each, each) for each in arguments), PYTHONUTF8="1")
    assert ran.returncode == 2
    assert ran.stderr.startswith(b"nests: the argument '")
    assert ran.stderr.count(b"\n") == 1
    assert rb"\xe9" in ran.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_file_whose_name_is_no_text_is_read(tmp_path: Path) -> None:
    path = os.fsencode(tmp_path) + b"/caf\xe9.json"
    Path(os.fsdecode(path)).write_bytes(Path(SHEET).read_bytes())
    ran = nests("check", path)
    assert (ran.returncode, ran.stderr) == (0, b"")
    assert ran.stdout.endswith(rb"caf\xe9.json: mend." + b"\n")
    said = json.loads(nests("check", "--json", path).stdout)
    assert said["holder"].startswith("caf")
    plain = nests("check", path, PYTHONUTF8="0", LC_ALL="C")
    assert (plain.returncode, plain.stderr) == (0, b"")


def test_half_a_character_is_never_written_into_a_document() -> None:
    with pytest.raises(BadInput, match=r"\\udce9"):
        canonical({"by": "caf\udce9"})


def test_one_line_whatever_a_name_brings() -> None:
    assert one_line("a\nb\x1b[31mc\u2028d\udce9") == r"a b [31mc d\xe9"


@pytest.mark.parametrize("command", ["check", "make", "plan-sheet", "plan-work", "plan-out"])
@pytest.mark.parametrize("kind", ["pipe", "dead end", "too long", "device", "gone"])
def test_what_is_no_file_costs_one_sentence(tmp_path: Path, command: str, kind: str) -> None:
    from nests.faces.cli import main

    path = {
        "pipe": tmp_path / "pipe", "dead end": tmp_path / "loop",
        "too long": tmp_path / ("n" * 300), "device": Path("/dev/zero"),
        "gone": Path("/proc/self/nothing"),
    }[kind]  # fmt: skip
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    out = str(tmp_path / "out")
    arguments = {
        "check": ["check", "--apply", str(path)],
        "make": ["make", "--recipe", str(path), "--out", out],
        "plan-sheet": ["plan", "--sheet", str(path), "--work", "automatic", "--out", out],
        "plan-work": ["plan", "--sheet", SHEET, "--work", str(path), "--out", out],
        "plan-out": ["plan", "--sheet", SHEET, "--work", "automatic", "--out", str(path)],
    }[command]
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert left.value.code == 2
    assert not Path(out).exists()


@pytest.mark.parametrize(
    ("fault", "says"),
    [
        (OSError(24, "Too many open files", "some.file"), "some.file: Too many open files"),
        (OSError(5, "Input/output error"), "Input/output error"),
        (ImportError("libsome.so: failed to map segment"), "libsome.so: failed to map segment"),
        (MemoryError(), "not enough memory"),
    ],
)
def test_what_the_system_refuses_costs_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], fault: Exception, says: str
) -> None:
    from nests.faces.cli import cli, main

    def fails(**_: object) -> None:
        raise fault

    monkeypatch.setattr(cli, "main", fails)
    with pytest.raises(SystemExit) as left:
        main(["check", SHEET])
    assert left.value.code == 2
    said = capsys.readouterr().err
    assert said.startswith("nests: ")
    assert says in said
    assert said.count("\n") == 1
