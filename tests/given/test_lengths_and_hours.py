"""How lengths are typed and hours are worded."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from nests.lengths import read_length
from nests.parts.clip import Clip
from nests.parts.vent import Vent
from nests.units import BadInput, dial_hour

ROOT = Path(__file__).parent.parent.parent / "nests"
HOURS = {"hour", "at", "towards", "from_hour", "to_hour"}
"""What a field that holds an hour is called."""


@pytest.mark.parametrize(
    ("hour", "words"),
    [(3.0, "3"), (4.5, "4.5"), (10 / 3, "3.33"), (11.99999, "12"), (0.0, "0"), (7.275, "7.28")],
)
def test_an_hour_has_two_decimals_at_most(hour: float, words: str) -> None:
    assert dial_hour(hour) == words


def test_labels_of_parts_have_two_decimals_at_most() -> None:
    assert Vent(at=10 / 3).label() == "vent at 3.33 h"
    assert Clip(at=7.2857142857).label() == "clip at 7.29 h"


def test_no_sentence_words_an_hour_by_itself() -> None:
    found = [each for path in sorted(ROOT.rglob("*.py")) for each in _worded(path)]
    assert found == []


def _worded(path: Path) -> Iterator[str]:
    """Hours in texts of a module that are formatted with `g`, so with up to six digits."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if not isinstance(node, ast.JoinedStr):
            continue
        for part, after in zip(node.values, [*node.values[1:], None], strict=True):
            if not isinstance(part, ast.FormattedValue) or part.format_spec is None:
                continue
            then = str(after.value) if isinstance(after, ast.Constant) else ""
            is_hour = isinstance(part.value, ast.Attribute) and part.value.attr in HOURS
            short = ast.unparse(part.format_spec).strip("f'\"").endswith("g")
            if short and (is_hour or then == " h" or then.startswith((" h ", " h,", " h.", " h;"))):
                yield f"{path.relative_to(ROOT)}:{node.lineno} {ast.unparse(part.value)}"


LIGNE = 443.296
"""Lignes in a metre (law of 1799), 12 in a pouce."""


@pytest.mark.parametrize(
    "text",
    ["11 1/2 ligne", "11½ lignes", "11 ½'''", "11 1/2'''", "11.5 ligne", "11,5‴", "11 1/2 ‴",
     "11½′′′", "11 2/4ligne", "23/2 ligne"],
)  # fmt: skip
def test_lignes_are_read_as_they_are_written(text: str) -> None:
    written = read_length(text, "diameter")
    assert written.mm == pytest.approx(11.5 * 1000.0 / LIGNE, abs=1e-12)
    assert written.from_ligne


@pytest.mark.parametrize(
    ("text", "lignes"),
    [("10¾ ligne", 10.75), ("8 3/4'''", 8.75), ("¼ ligne", 0.25), ("1/3'''", 1 / 3)],
)  # fmt: skip
def test_other_fractions(text: str, lignes: float) -> None:
    assert read_length(text, "diameter").mm == pytest.approx(lignes * 1000.0 / LIGNE)


@pytest.mark.parametrize("text", ["11 1/0 ligne", "11 3/2 ligne", "1/2/3 ligne", "11.5 1/2 ligne"])
def test_what_is_no_fraction_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match=r"diameter is '.*'; a length such as"):
        read_length(text, "diameter")


def test_a_fraction_says_its_unit() -> None:
    """11 1/2 by itself would be taken for mm, and the trade means lignes."""
    with pytest.raises(BadInput, match=r"write 11 1/2 ligne or 11 1/2 mm"):
        read_length("11 1/2", "diameter")
    assert read_length("1 1/2 mm", "height").mm == 1.5
