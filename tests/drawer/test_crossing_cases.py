"""Cases cross over by what stands out of them, too: crown and lugs.

INV CASE 39 has a crown of 6 mm, for which its holder leaves 0.3 mm all round in a way for two
finger tips, 8 mm wide.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from nests.drawer.crossing import Crossing, cross
from nests.finding import Grade
from nests.given.operation import Operation
from nests.given.sheet import Crown, Sheet
from nests.kinds.kept import Change, KeptHolder, make_id
from nests.places import Side

from .conftest import readings, recipe, sheet

CASING = Operation(name="casing", side_up=Side.BRIDGE, stem=True)


@pytest.fixture(scope="module")
def kept() -> KeptHolder:
    made = recipe("case", "inv-case-39", side_up="bridge")
    filed = Change(number=1, did="filed", readings=readings())
    return KeptHolder(id=make_id(made.kind, 1), recipe=made, history=(filed,))


def stops(crossing: Crossing) -> list[str]:
    return [f"{f.check}: {f.says}" for f in crossing.findings if f.grade is Grade.STOP]


def with_crown(across: float) -> Sheet:
    own = sheet("inv-case-39")
    assert own.stem is not None
    return replace(own, name="other", stem=replace(own.stem, crown=Crown(diameter=across, home=3)))


def test_its_own_case_lies_in_it(kept: KeptHolder) -> None:
    assert stops(cross(kept, sheet("inv-case-39"), CASING, bench=True)) == []


@pytest.mark.parametrize(("across", "goes"), [(5.0, True), (6.4, True), (7.0, False), (9.0, False)])
def test_a_crown_has_room_or_not(kept: KeptHolder, across: float, goes: bool) -> None:
    """Its way is 8 mm wide, its floor 3.3 mm below the axis: a crown up to 6.6 mm goes in."""
    found = stops(cross(kept, with_crown(across), CASING))
    assert (found == []) is goes
    if not goes:
        assert f"crown of {across:g} mm" in found[0]


def test_lugs_elsewhere_are_stopped(kept: KeptHolder) -> None:
    own = sheet("inv-case-39")
    lugs = tuple(replace(each, hour=(each.hour + 0.6) % 12, towards=None) for each in own.lugs)
    found = stops(cross(kept, replace(own, name="other", lugs=lugs), CASING, bench=True))
    assert any("lug" in each and each.startswith("clearance") for each in found)
