"""The command `plan`: what it writes, what it says, how it ends."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from nests.faces.cli import main
from nests.planning.job import Job
from nests.units import BadInput

GALLERY = Path(__file__).parents[2] / "gallery"
SHEET = GALLERY / "sheets" / "inv-32-k.json"
AUTO = "INV 32-K auto works"


def work(folder: Path, *operations: dict[str, object]) -> Path:
    path = folder / "work.json"
    data = {"document": "work-plan", "edition": 1, "name": "short", "operations": operations}
    path.write_text(json.dumps(data))
    return path


def run(*arguments: object) -> int:
    with pytest.raises(SystemExit) as ended:
        main(["plan", *map(str, arguments)])
    assert isinstance(ended.value.code, int)
    return ended.value.code


def test_a_job_that_may_start(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = work(tmp_path, {"name": "apart", "side_up": "bridge", "on": AUTO})
    out = tmp_path / "out"
    assert run("--sheet", SHEET, "--work", plan, "--out", out) == 0
    told = capsys.readouterr()
    assert "may start" in told.out
    assert "apart" in told.err
    names = {"coverage.png", "coverage.svg", "job-sheet.html", "job-sheet.pdf", "packs"}
    names |= {"contents.json", "plan.html", "plan.json", "plan.txt"}
    assert {each.name for each in out.iterdir()} == names
    (pack,) = (out / "packs").iterdir()
    assert (pack / "holder.3mf").is_file()
    # a second time only over what stands there when told so, and without the packs of before
    assert run("--sheet", SHEET, "--work", plan, "--out", out) == 2
    plan = work(tmp_path, {"name": "look", "side_up": "dial", "on": AUTO})
    assert run("--sheet", SHEET, "--work", plan, "--out", out, "--replace") == 0
    assert [each.name for each in (out / "packs").iterdir()] == ["01-look"]


def test_a_job_that_must_not_start(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = work(
        tmp_path,
        {"name": "wheel", "side_up": "bridge", "presses": [{"arbor": "hour recorder"}]},
    )
    assert run("--sheet", SHEET, "--work", plan, "--out", tmp_path / "out") == 1
    told = capsys.readouterr().out
    assert "must not start" in told
    assert "'hour recorder' is pressed, and the sheet has no jewel" in told
    assert not list((tmp_path / "out" / "packs").iterdir())


def test_what_cannot_be_used_costs_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for arguments in (
        ("--sheet", SHEET, "--work", "moonphase"),
        ("--sheet", tmp_path / "none.json", "--work", "usual"),
        ("--sheet", SHEET, "--work", "usual", "--drawer", SHEET),
        ("--sheet", SHEET, "--work", "moonphase", "--drawer", tmp_path / "new"),
    ):
        assert run(*arguments, "--out", tmp_path / "out") == 2
        assert len(capsys.readouterr().err.strip().splitlines()) == 1
    assert not (tmp_path / "new").exists()


def test_a_drawer_that_is_not_there_is_begun(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing lies in it, and that is said; the next job finds it."""
    drawer, given = tmp_path / "benches" / "drawer", []

    def solved(*arguments: object, **_: object) -> Job:
        given.append(arguments[3])
        raise BadInput("far enough.")

    monkeypatch.setattr("nests.planning.whole.solve", solved)
    for _ in range(2):
        assert run("--sheet", SHEET, "--work", "usual", "--drawer", drawer,
                   "--out", tmp_path / "out") == 2  # fmt: skip
    assert given == [(), ()]
    assert drawer.is_dir()
    said = capsys.readouterr().err
    assert said.count(f"there was no drawer at {drawer}; an empty one is begun.") == 1
