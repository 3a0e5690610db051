"""Cases nobody tuned get a holder either side up; what a sheet gave before is kept clear of, too.

`python tests/workshop/test_cases.py [COUNT [FIRST]]` counts more of them, with the reasons.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from case_sheets import OLD, case

from nests.choosing import choose
from nests.consistency import check_sheet
from nests.finding import Finding, Grade
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.places import Side
from nests.units import BadInput

CARD = PrinterCard()
FEW, MANY = range(3), range(100, 125)


def true(seeds: range) -> Iterator[tuple[int, Sheet]]:
    """Those of the cases that agree with themselves: a button may come to lie in a lug."""
    for seed in seeds:
        sheet = case(seed)
        if not [f for f in check_sheet(sheet) if f.grade is Grade.STOP]:
            yield seed, sheet


def stops(sheet: Sheet, side: Side) -> list[Finding]:
    """What is left that stops a case's holder. Raises `BadInput` where there is none."""
    best = choose("case", sheet, None, {"side_up": side.value}, CARD, explain=False)
    return [f for f in best.findings if f.grade is Grade.STOP]


def failures(seeds: range) -> tuple[int, list[str]]:
    """How many holders were asked for, and what became of those that may not be printed."""
    asked, out = 0, []
    for seed, sheet in true(seeds):
        for side in Side:
            asked += 1
            try:
                found = stops(sheet, side)
            except BadInput as error:
                out.append(f"{seed} {side.value}: refused: {error}")
                continue
            out += [f"{seed} {side.value}: {found[0].check}: {found[0].says}"] if found else []
    return asked, out


def test_the_cases_are_many_sorts() -> None:
    made = [case(seed) for seed in range(300)]
    assert made == [case(seed) for seed in range(300)]
    crowns = [s.stem.crown.diameter for s in made if s.stem is not None and s.stem.crown]
    assert min(crowns) < 3.5
    assert max(crowns) > 8.5
    for some in (
        sum(not isinstance(s.outline, Round) for s in made),
        sum(len(s.lugs) == 2 for s in made),
        sum(len(s.lugs) == 4 for s in made),
        sum(any(lug.reach > 6.0 for lug in s.lugs) for s in made),
        sum(any((lug.droop or 0.0) > 2.0 for lug in s.lugs) for s in made),
        sum(any(lug.droop is None for lug in s.lugs) for s in made),
        sum(s.stem is not None and s.stem.hour == 4.0 for s in made),
        sum(bool(s.pushers) for s in made),
        sum(bool(s.keep_clear) for s in made),
    ):
        assert some >= 20
    assert sum(1 for _ in true(range(300))) >= 290


@pytest.mark.slow
def test_a_few_cases_get_their_holders() -> None:
    asked, failed = failures(FEW)
    assert asked == 2 * len(FEW)
    assert failed == []


@pytest.mark.parametrize("side", Side)
def test_crown_and_lugs_given_as_keep_clears(side: Side) -> None:
    """As a sheet gave them before there were fields for them: room for each, and no crash."""
    sheet = case(OLD - 1)
    assert len(sheet.keep_clear) >= 3
    assert stops(sheet, side) == []


@pytest.mark.slow
def test_nearly_all_cases_get_their_holders() -> None:
    asked, failed = failures(MANY)
    assert len(failed) <= 0.02 * asked, failed


if __name__ == "__main__":
    words = [int(each) for each in sys.argv[1:]]
    count, first = (words[0] if words else 300), (words[1] if len(words) > 1 else 0)
    number, bad = failures(range(first, first + count))
    print("\n".join(bad))
    print(f"{number - len(bad)} of {number} may be printed")
    print(Counter(each.split(":")[1].strip() for each in bad))
