"""What is typed: options that cannot be, lines that lack or have too much."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.faults.hostile.row import Row
from tests.faults.hostile.running import inside
from tests.faults.hostile.sources import CARD, PLAN, SHEET

ROUND = ("make", "round", "--diameter", "26", "--height", "4.6", "--no-papers", "--out", "out")
HANDS = ("make", "hand-setting", "--sheet", SHEET, "--no-papers", "--out", "out")
CRADLE = ("make", "cradle", "--diameter", "20", "--height", "4", "--edge", "1.5", "--no-papers",
          "--out", "out")  # fmt: skip
CHRONOGRAPH = ("make", "chronograph", "--diameter", "30", "--height", "6", "--rim", "2", "--hangs",
               "2.4", "--no-papers", "--out", "out")  # fmt: skip

LENGTHS = ("--diameter", "--height", "--wall", "--floor", "--ledge", "--chord-error", "--lid-play")
NO_LENGTH = {
    "a word": "wide",
    "nothing": "",
    "blanks": "  ",
    "not a number": "nan",
    "infinite": "inf",
    "beyond a float": "1e999",
    "below zero": "-3",
    "above its range": "5000",
    "a unit of nobody": "26furlong",
    "two numbers": "26 27",
    "a point too many": "2.6.0",
    "a part of nothing": "11 1/0 ligne",
    "a thousand digits": "9" * 1000,
    "half letters": "２６x",
    "a line break": "2\n6",
}

TYPED: dict[str, dict[str, tuple[tuple[str, ...], int, tuple[str, ...]]]] = {
    "the line": {
        "a command of nobody": (("mak",), 2, ("mak",)),
        "an option of nobody": ((*ROUND, "--daimeter", "26"), 2, ("--daimeter",)),
        "an option without its value": ((*ROUND, "--wall"), 2, ("--wall",)),
        "an argument too many": ((*ROUND, "26"), 2, ("26",)),
        "an argument of ten thousand letters": (("x" * 10_000,), 2, ("xxx",)),
        "an empty argument": (("",), 2, ()),
        "a hundred thousand arguments": (("check", *["a"] * 100_000), 2, ("argument",)),
    },
    "make": {
        "neither family nor recipe": (("make",), 2, ("--recipe",)),
        "a family of nobody": (("make", "square", "--out", "out"), 2, ("square",)),
        "options before the family": (("make", "--out", "out", "round"), 2, ("after",)),
        "a recipe that is not there": (
            ("make", "--recipe", "none.json", "--out", "out"), 2, ("none.json",)),
        "no diameter": (("make", "round", "--height", "4", "--out", "out"), 2, ("diameter",)),
        "no sheet where one is needed": (("make", "thin", "--out", "out"), 2, ("--sheet",)),
        "a case for a movement": (
            ("make", "case", "--sheet", SHEET, "--out", "out"), 1, ("case",)),
        "a work plan for a sheet": (
            ("make", "hand-setting", "--sheet", PLAN, "--out", "out"), 2, ("work-plan",)),
        "a sheet for a work plan": ((*HANDS, "--work", SHEET), 2, ("sheet",)),
        "a work plan for a printer card": ((*ROUND, "--printer", PLAN), 2, ("work-plan",)),
        "a sheet for a recipe": (
            ("make", "--recipe", SHEET, "--out", "out"), 2, ("sheet", "recipe")),
    },
    "--out": {
        "left out": (ROUND[:-2], 2, ("--out",)),
        "empty": ((*ROUND[:-1], ""), 2, ("folder",)),
        "given twice": ((*ROUND, "--out", "two"), 2, ("--out", "twice")),
        "the current folder": ((*ROUND[:-1], "."), 2, ("started in",)),
        "a name too long": ((*ROUND[:-1], "n" * 300), 2, ("too long",)),
        "a path too long": ((*ROUND[:-1], "n/" * 4000 + "n"), 2, ("too long",)),
    },
    "--operation": {
        "of nobody": ((*HANDS, "--operation", "polishing"), 2, ("polishing",)),
        "empty": ((*HANDS, "--operation", ""), 2, ("operation",)),
    },
    "--date": {
        "a word": ((*ROUND, "--date", "yesterday"), 2, ("yesterday", "year-month-day")),
        "a day that is none": ((*ROUND, "--date", "2031-02-30"), 2, ("2031-02-30",)),
        "a month that is none": ((*ROUND, "--date", "2031-13-01"), 2, ("2031-13-01",)),
        "other digits": ((*ROUND, "--date", "２０３１-01-01"), 2, ("year-month-day",)),
    },
    "--pusher": {
        "a word": ((*CHRONOGRAPH, "--pusher", "two"), 2, ("--pusher", "two")),
        "one number": ((*CHRONOGRAPH, "--pusher", "2"), 2, ("--pusher",)),
        "three numbers": ((*CHRONOGRAPH, "--pusher", "2,1,1"), 2, ("--pusher",)),
        "an hour of nobody": ((*CHRONOGRAPH, "--pusher", "13,1.2"), 2, ("hour", "13")),
        "not a number": ((*CHRONOGRAPH, "--pusher", "nan,1.2"), 2, ("--pusher",)),
        "twice at one place": (
            (*CHRONOGRAPH, "--pusher", "2,1.2", "--pusher", "2,1.2"), 2, ("pusher",)),
    },
    "--stem": {
        "a word": ((*CHRONOGRAPH, "--stem", "three"), 2, ("--stem",)),
        "given twice": ((*CHRONOGRAPH, "--stem", "3,1", "--stem", "3,1"), 2, ("--stem", "twice")),
    },
    "--notch": {
        "two numbers": ((*CRADLE, "--notch", "1,2"), 2, ("--notch",)),
        "wider than the workpiece": ((*CRADLE, "--notch", "1,90,1"), 2, ("notch",)),
    },
    "--fit": {
        "of nobody": ((*ROUND, "--fit", "Q7/q6"), 2, ("Q7",)),
        "half": ((*ROUND, "--fit", "H7"), 2, ("H7",)),
        "empty": ((*ROUND, "--fit", "/"), 2, ("fit",)),
    },
    "--force": {
        "where nothing is pressed": ((*ROUND, "--force", "10"), 2, ("--force",)),
        "a word": ((*HANDS, "--operation", "hand-setting", "--force", "hard"), 2, ("--force",)),
        "not a number": (
            (*HANDS, "--operation", "hand-setting", "--force", "nan"), 2, ("force",)),
        "none": ((*HANDS, "--operation", "hand-setting", "--force", "0"), 2, ("force",)),
    },
    "--arbor": {
        "of nobody": ((*HANDS, "--arbor", "no such"), 2, ("no such",)),
        "where none is known": ((*ROUND, "--arbor", "centre"), 2, ("--arbor",)),
    },
    "--hour-marks": {"of nobody": ((*ROUND, "--hour-marks", "thirds"), 2, ("thirds",))},
    "--weight": {
        "wider than the holder": (
            (*ROUND, "--weight", "90", "--weight-height", "5"), 1, ("weight",)),
    },
    "check": {
        "nothing": (("check",), 2, ("FILE",)),
        "a file that is not there": (("check", "none.json"), 2, ("none.json",)),
        "two files": (("check", SHEET, PLAN), 2, ("unexpected",)),
        "an unknown ending": (("check", "none.step"), 2, ("none.step",)),
        "a unit for a document": (("check", SHEET, "--unit", "mm"), 2, ("document",)),
        "a unit of nobody": (("check", "none.stl", "--unit", "furlong"), 2, ("furlong",)),
        "remedies for a sheet": (("check", SHEET, "--apply"), 2, ("sheet", "recipe")),
        "remedies for a card": (("check", CARD, "--apply"), 2, ("printer", "recipe")),
        "remedies for a mesh": (("check", "none.stl", "--apply"), 2, ("none.stl",)),
    },
    "plan": {
        "without a sheet": (("plan", "--work", "usual", "--out", "out"), 2, ("--sheet",)),
        "a plan of nobody": (
            ("plan", "--sheet", SHEET, "--work", "no such", "--out", "out"), 2, ("no such",)),
        "a plan by a path upwards": (
            ("plan", "--sheet", SHEET, "--work", "../sheets/inv-26-a", "--out", "out"), 2,
            ("inv-26-a",)),
        "a sheet for a drawer": (
            ("plan", "--sheet", SHEET, "--work", "usual", "--drawer", SHEET, "--out", "out"), 2,
            ("cannot be a drawer",)),
        "two drawers": (
            ("plan", "--sheet", SHEET, "--work", "usual", "--drawer", "a", "--drawer", "b",
             "--out", "out"), 2, ("--drawer", "twice")),
    },
    "find": {
        "neither sheet nor ⌀": (("find", "--drawer", "d"), 2, ("--sheet",)),
        "both sheet and ⌀": (
            ("find", "--drawer", "d", "--sheet", SHEET, "--diameter", "26"), 2, ("either",)),
        "a ⌀ of nobody": (("find", "--drawer", "d", "--diameter", "wide"), 2, ("--diameter",)),
        "a tolerance of nobody": (
            ("find", "--drawer", "d", "--diameter", "26", "--tolerance", "x"), 2,
            ("--tolerance",)),
        "a tolerance below zero": (
            ("find", "--drawer", ".", "--diameter", "26", "--tolerance", "-1"), 2,
            ("tolerance",)),
        "a ⌀ below zero": (("find", "--drawer", ".", "--diameter", "-5"), 2, ("diameter is",)),
        "a ⌀ of zero": (("find", "--drawer", ".", "--diameter", "0"), 2, ("diameter is",)),
        "a ⌀ of a house": (("find", "--drawer", ".", "--diameter", "9e9"), 2, ("--diameter",)),
        "none at most": (
            ("find", "--drawer", "d", "--diameter", "26", "--most", "0"), 2, ("--most",)),
        "a kind of nobody": (
            ("find", "--drawer", "d", "--diameter", "26", "--kind", "clock"), 2, ("clock",)),
        "no drawer there": (
            ("find", "--drawer", "d", "--diameter", "26"), 2, ("there is no drawer",)),
    },
}  # fmt: skip
"""By what is typed wrong and how: the line, the code, what must be said."""


def rows() -> Iterator[Row]:
    """Lengths that are none, then everything else."""
    for name in LENGTHS:
        for what, value in NO_LENGTH.items():
            line = _with(ROUND, name, value)
            if name == "--lid-play":
                line = (*line, "--lid")
            yield _typed(name, what, line, 2, (name.lstrip("-").split("-")[0],))
    for field, ways in TYPED.items():
        for what, (line, code, names) in ways.items():
            yield _typed(field, what, line, code, names)


def _with(line: tuple[str, ...], name: str, value: str) -> tuple[str, ...]:
    """The line with another value of an option."""
    if name not in line:
        return (*line, name, value)
    at = line.index(name)
    return (*line[: at + 1], value, *line[at + 2 :])


def _typed(field: str, what: str, line: tuple[str, ...], code: int, names: tuple[str, ...]) -> Row:
    def plant(_: Path) -> Sequence[str]:
        return line

    return Row("typed", field, what, plant, inside, code, names)
