"""A plan is there as a whole or not at all, and replaces only what it wrote itself."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pytest

from nests.documents.files import data_folder
from nests.faces.cli import main
from nests.given.operation import Operation, WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.kinds import read
from nests.places import Side
from nests.planning import whole
from nests.planning.job import Job, solve
from nests.units import BadInput
from nests.workers import each_done

ROOT = Path(__file__).parents[2]
SHEET = data_folder("gallery") / "sheets" / "inv-32-k.json"
AUTO = "INV 32-K auto works"


@pytest.fixture(scope="module")
def job() -> Job:
    looks = Operation(name="look", side_up=Side.DIAL, on=AUTO)
    plan = WorkPlan(name="short", operations=(looks,))
    return solve(read(SHEET, Sheet), plan, PrinterCard(name="bench"))


def tree(folder: Path) -> dict[str, bytes]:
    return {
        each.relative_to(folder).as_posix(): each.read_bytes()
        for each in sorted(folder.rglob("*"))
        if each.is_file()
    }


@pytest.fixture(scope="module")
def planned(job: Job, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plan written once, for reading only."""
    folder = tmp_path_factory.mktemp("planned") / "job"
    whole.write(job, folder)
    return folder


@pytest.fixture
def there(planned: Path, tmp_path: Path) -> Path:
    for name, content in tree(planned).items():
        (tmp_path / "job" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "job" / name).write_bytes(content)
    return tmp_path / "job"


def test_the_list_names_every_file_of_the_plan_and_its_packs(planned: Path) -> None:
    listed = json.loads((planned / "contents.json").read_text("utf-8"))["sha256"]
    assert set(listed) == set(tree(planned)) - {"contents.json"}
    assert {"plan.json", "packs/01-look/holder.3mf", "packs/01-look/contents.json"} <= set(listed)


@pytest.mark.parametrize(
    "name", ["notes.txt", "packs/01-look/photograph.jpg", "packs/mine/recipe.json", "plan.txt"]
)
def test_what_it_did_not_write_is_named_and_kept(there: Path, name: str) -> None:
    (there / name).parent.mkdir(exist_ok=True)
    (there / name).write_bytes(b"mine")
    before = tree(there)
    with pytest.raises(SystemExit) as left:
        main(["plan", "--sheet", str(SHEET), "--work", "automatic", "--out", str(there),
              "--replace"])  # fmt: skip
    assert left.value.code == 2
    assert tree(there) == before


def test_a_refusal_names_the_file(there: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (there / "packs" / "01-look" / "photograph.jpg").write_bytes(b"mine")
    with pytest.raises(SystemExit):
        main(["plan", "--sheet", str(SHEET), "--work", "automatic", "--out", str(there),
              "--replace"])  # fmt: skip
    said = capsys.readouterr()
    assert "'packs/01-look/photograph.jpg'" in said.err
    assert said.err.count("\n") == 1


@pytest.mark.parametrize("replace", [False, True])
def test_with_a_worker_killed_there_is_no_plan(
    job: Job, there: Path, monkeypatch: pytest.MonkeyPatch, replace: bool
) -> None:
    """Nothing says `may_start` where no pack is, and what stood there stands."""

    def killed(task: object, todo: list[object], count: int) -> Iterator[object]:
        return each_done(signal.raise_signal, [(signal.SIGKILL,) for _ in todo], count)

    monkeypatch.setattr(whole, "each_done", killed)
    before = tree(there)
    target = there if replace else there.parent / "new"
    with pytest.raises(BadInput, match="ended from outside"):
        whole.write(job, target, replace=replace)
    assert tree(there) == before
    assert [each.name for each in there.parent.iterdir()] == ["job"]


def children(process: int) -> list[int]:
    """Processes below one, from the lists that Linux keeps."""
    out = []
    for each in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = each.read_text().rsplit(")", 1)[1].split()
        except OSError:
            continue
        if int(fields[1]) == process and fields[0] != "Z":
            out.append(int(each.parent.name))
    return out


@pytest.mark.slow
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT, signal.SIGKILL])
@pytest.mark.parametrize("command", ["plan", "gallery"])
def test_the_command_leaves_nothing_behind_when_it_is_ended(
    tmp_path: Path, command: str, number: signal.Signals
) -> None:
    work = tmp_path / "work.json"
    subs = [each["name"] for each in json.loads(SHEET.read_text())["sub_assemblies"]]
    looks = product(("dial", "bridge"), ("", *subs))  # ten holders: some seconds to write
    operations = [{"name": f"{s} {o}", "side_up": s, "on": o} for s, o in looks]
    work.write_text(json.dumps({"document": "work-plan", "edition": 1, "name": "ten",
                                "operations": operations}))  # fmt: skip
    out = tmp_path / "place" / "out"
    arguments = {"plan": ["plan", "--sheet", str(SHEET), "--work", str(work)],
                 "gallery": ["gallery"]}[command]  # fmt: skip
    run = subprocess.Popen(
        [sys.executable, "-m", "nests", *arguments, "--out", str(out)],
        cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True,
    )  # fmt: skip
    end = time.monotonic() + 60.0
    while len(children(run.pid)) < 3 and time.monotonic() < end and run.poll() is None:
        time.sleep(0.05)  # the tracker of multiprocessing and two at work
    below = children(run.pid)
    assert len(below) >= 3
    time.sleep(1.0)
    (os.killpg if number == signal.SIGINT else os.kill)(run.pid, number)
    said = run.communicate(timeout=30)
    assert run.returncode == {"SIGTERM": 143, "SIGINT": 130, "SIGKILL": -9}[number.name]
    end = time.monotonic() + 10.0
    while any(Path(f"/proc/{each}").exists() for each in below) and time.monotonic() < end:
        time.sleep(0.05)
    assert not any(Path(f"/proc/{each}").exists() for each in below)
    assert "Traceback" not in said[1]
    if command == "plan":
        assert not out.exists()
        assert number == signal.SIGKILL or list(out.parent.iterdir()) == []
