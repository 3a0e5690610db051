"""What the README shows works as shown."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from nests.faces.cli import main
from nests.finding import Grade
from nests.given.at_work import at_work
from nests.given.operation import WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.trade import TRADE_WORDS
from nests.kinds import read
from nests.planning.job import solve

README = (Path(__file__).parent.parent / "README.md").read_text("utf-8")


def test_first_sheet_has_ten_lines_and_makes_a_holder(tmp_path, capsys):
    text = re.search(r"<!-- sheet -->\n```json\n(.*?)```", README, re.S).group(1)
    assert len(text.strip().splitlines()) == 10
    sheet = tmp_path / "sheet.json"
    sheet.write_text(text, "utf-8")
    with pytest.raises(SystemExit) as checked:
        main(["check", str(sheet)])
    assert checked.value.code == 0
    out = tmp_path / "hands"
    with pytest.raises(SystemExit) as made:
        main(
            [
                "make",
                "hand-setting",
                "--sheet",
                str(sheet),
                "--operation",
                "hand-setting",
                "--out",
                str(out),
                "--no-papers",
            ]
        )
    assert made.value.code == 0, capsys.readouterr()
    names = {each.name for each in out.iterdir()}
    assert names == {"holder.3mf", "holder.stl", "recipe.json", "findings.json", "contents.json"}
    assert json.loads((out / "findings.json").read_text("utf-8"))["count"]["stop"] == 0


def block(name: str) -> dict:
    return json.loads(re.search(rf"<!-- {name} -->\n```json\n(.*?)```", README, re.S).group(1))


def test_what_is_added_to_the_sheet_is_spared_reached_and_taken_off(tmp_path, capsys):
    """A keep-clear called in the workshop's own word, a pusher, and a work plan with `absent`."""
    data, work = {**block("sheet"), **block("more")}, block("work")
    sheet, plan = tmp_path / "sheet.json", tmp_path / "work.json"
    for path, content in ((sheet, data), (plan, work)):
        path.write_text(json.dumps(content), "utf-8")
        with pytest.raises(SystemExit) as checked:
            main(["check", str(path)])
        assert checked.value.code == 0, capsys.readouterr()
    whole = read(sheet, Sheet)
    (balance,) = whole.keep_clear
    given = data["keep_clear"][0]
    assert balance.zone.centre.x == -given["zone"]["centre"]["x"]  # read from the bridge side
    assert given["name"] not in TRADE_WORDS
    look, out = read(plan, WorkPlan).operations
    assert at_work(whole, look).keep_clear == whole.keep_clear
    assert at_work(whole, out).keep_clear == ()
    unnamed = replace(whole, keep_clear=(replace(balance, what=None),))
    assert at_work(unnamed, out).keep_clear == unnamed.keep_clear  # as the text says
    job = solve(whole, read(plan, WorkPlan), PrinterCard())
    assert not job.alone
    assert not job.missing
    assert [each.trial.grade for each in job.chosen if each.trial.grade is Grade.STOP] == []
    reached = [p.serves().pushers for each in job.chosen for p in each.trial.recipe.parts]
    assert (data["pushers"][0]["name"],) in reached


def test_every_field_that_surprises_is_shown():
    for word in ("keep_clear", "pushers", "absent", "read_from", "what"):
        assert re.search(rf"^.*\"{word}\":", README, re.M), word


def test_the_quick_ways_make_holders(tmp_path, capsys):
    """Every line as it stands, from a holder made by the first line of the section."""
    first = re.search(r"^\.venv/bin/(nests make round .*--out my-holder)$", README, re.M).group(1)
    block = re.search(r"<!-- quick -->\n```\n(.*?)```", README, re.S).group(1)
    lines = [first, *(line.removeprefix(".venv/bin/") for line in block.strip().splitlines())]
    assert len(lines) == 5
    for line in lines:
        words = line.split()
        assert words.pop(0) == "nests"
        words = [
            str(tmp_path / word) if word.startswith(("my-holder", "quick-")) else word
            for word in words
        ]
        with pytest.raises(SystemExit) as made:
            main([*words, "--no-papers"])
        assert made.value.code == 0, capsys.readouterr()
        assert (Path(words[-1]) / "holder.3mf").is_file()


def test_every_picture_shown_is_there():
    root = Path(__file__).parent.parent
    shown = re.findall(r"!\[[^]]*\]\(([^)]+)\)", README)
    assert len(shown) >= 3
    assert all((root / each).is_file() for each in shown)


def test_families_of_the_table_are_those_there_are():
    from nests.families import names

    table = README.split("| family | for |")[1].split("## What")[0]
    assert sorted(re.findall(r"^\| ([a-z-]+) \|", table, re.M)) == sorted(names())


def test_number_of_packs_is_the_number_built():
    from nests.orders.gallery import PIECES

    assert f"{len(PIECES)} packs" in README
    assert len({piece.slug() for piece in PIECES}) == len(PIECES)


def test_the_lines_of_python_make_a_holder(tmp_path: Path) -> None:
    sheet = re.search(r"<!-- sheet -->\n```json\n(.*?)```", README, re.S).group(1)
    lines = re.search(r"<!-- python -->\n```python\n(.*?)```", README, re.S).group(1)
    assert len([line for line in lines.splitlines() if line]) == 5
    (tmp_path / "sheet.json").write_text(sheet, "utf-8")
    done = subprocess.run(
        [sys.executable, "-c", lines], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "True", done.stdout
    assert (tmp_path / "hands" / "holder.3mf").is_file()


def test_the_talk_at_the_bench_is_as_shown(tmp_path: Path) -> None:
    """Every line that is typed there gives what stands below it."""
    shown = re.search(r"<!-- measure -->\n```\n(.*?)```", README, re.S).group(1)
    typed = re.findall(r"^> (.*)$", shown, re.M)
    assert len(typed) >= 6
    done = subprocess.run(
        [sys.executable, "-m", "nests", "measure", "sheet", "mine.measured.json"],
        input="\n".join(typed) + "\n", cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.stdout == shown
    more = re.search(r"<!-- measure more -->\n```\n(.*?)```", README, re.S).group(1)
    lines = [line.removeprefix(".venv/bin/") for line in more.strip().splitlines()]
    assert len(lines) == 4
    for line in lines:
        done = subprocess.run(
            [sys.executable, "-m", *line.split()], cwd=tmp_path, capture_output=True, text=True,
            check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
    made = {each.name for each in (tmp_path / "sheets").iterdir()}
    assert made == {"mine-27.json", "mine-27.measured.json"}
    assert (tmp_path / "form.pdf").read_bytes().startswith(b"%PDF")
