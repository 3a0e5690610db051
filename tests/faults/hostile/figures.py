"""Numbers and words that a field cannot be, as JSON text, in a field of each kind of document."""

from __future__ import annotations

from collections.abc import Iterator

from tests.faults.hostile import sources
from tests.faults.hostile.row import Row
from tests.faults.hostile.spoil import Steps, checked, misspelt, put, raw, shown

NUMBERS = {
    "not a number": ("NaN", "NaN"),
    "infinite": ("Infinity", "Infinity"),
    "infinite below": ("-Infinity", "-Infinity"),
    "beyond a float": ("1e999", "1e999"),
    "beyond a float, in digits": ("1" + "0" * 400, "digits"),
    "of five thousand digits": ("9" * 5000, "5000 digits"),
    "of three hundred digits": ("9" * 300, ""),
    "as large as a float can be": ("1.7976931348623157e308", ""),
    "below zero": ("-1", ""),
    "in quotes": ('"26"', ""),
    "with its unit": ('"26 mm"', ""),
    "true": ("true", ""),
    "in a list": ("[26]", ""),
    "an object": ("{}", ""),
}
"""What stands for the number, and the word that must be said, the field's path if none."""

PLACES: tuple[tuple[str, Steps], ...] = (
    ("sheet", ("rim",)),
    ("sheet", ("outline", "diameter")),
    ("sheet", ("arbors", 0, "jewels", 0, "diameter")),
    ("work-plan", ("operations", 0, "presses", 0, "force")),
    ("printer", ("layer",)),
    ("recipe", ("body", "wall")),
    ("kept-holder", ("history", 0, "number")),
)

LETTERS = {
    "a line break": ("A\nB", "U+000A"),
    "a carriage return": ("A\rB", "U+000D"),
    "a control": ("A\x1b[2JB", "U+001B"),
    "a zero": ("A\0B", "U+0000"),
    "a bell": ("A\aB", "U+0007"),
    "writing turned round": ("A\u202eB", "U+202E"),
    "a separator of lines": ("A\u2028B", "U+2028"),
    "no character": ("A\uffffB", "U+FFFF"),
    "a control of C1": ("A\x9bB", "U+009B"),
}
TEXTS: tuple[tuple[str, Steps], ...] = (
    ("sheet", ("name",)),
    ("sheet", ("arbors", 0, "name")),
    ("work-plan", ("operations", 0, "name")),
    ("printer", ("name",)),
    ("recipe", ("name",)),
)


def _data(kind: str):  # type: ignore[no-untyped-def]
    made = {"sheet": sources.sheet, "work-plan": sources.work, "printer": sources.card,
            "recipe": sources.recipe, "kept-holder": sources.holder}  # fmt: skip
    return made[kind]()


def rows() -> Iterator[Row]:
    """Every number in every place, every letter in every text, and a few misspelt fields."""
    for kind, steps in PLACES:
        for what, (value, word) in NUMBERS.items():
            content = raw(_data(kind), steps, value)
            says = word or shown(steps)
            yield checked("figures", f"{kind}: {shown(steps)}", what, content, says)
        content = misspelt(_data(kind), steps)
        yield checked("figures", f"{kind}: {shown(steps)}", "misspelt", content, str(steps[-1]))
    for kind, steps in TEXTS:
        for what, (value, word) in LETTERS.items():
            content = put(_data(kind), steps, value)
            says = (str(steps[-1]), word)
            yield checked("figures", f"{kind}: {shown(steps)}", what, content, *says)
