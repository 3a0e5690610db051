"""Each planted fault is found, of its kind and at its place; sound solids are left in peace."""

from __future__ import annotations

import pytest
from cases import KINDS, Case, verdict
from printing import defective
from printing_sound import sound

from nests import families


def _marked(case: Case, *, long: bool = False):  # type: ignore[no-untyped-def]
    marks = [pytest.mark.long if long else pytest.mark.slow] if case.slow else []
    if case.known:
        marks.append(pytest.mark.xfail(strict=True, reason=case.known))
    return pytest.param(
        case, id=f"{case.kind}: {case.name}" if case.kind else case.name, marks=marks
    )


@pytest.mark.parametrize("case", [_marked(each) for each in defective()])
def test_planted_fault_is_found_at_its_place_and_no_other(case: Case) -> None:
    found = verdict(case)
    assert not found.missed, found.missed
    assert not found.false, [each.sentence() for each in found.false]


@pytest.mark.parametrize(
    "case", [_marked(each, long=number % 3 > 0) for number, each in enumerate(sound())]
)
def test_sound_solid_is_not_faulted(case: Case) -> None:
    assert not verdict(case).false, [each.sentence() for each in verdict(case).false]


def test_the_collection_is_broad() -> None:
    kinds = [case.kind for case in defective()]
    assert len(kinds) >= 60
    assert set(kinds) == set(KINDS)
    assert len(sound()) >= 60
    for family in families.names():
        assert sum(case.name.startswith(f"{family} ") for case in sound()) == 5
