"""A dial against what stands above the rim, by exact distances between solids.

The dial is a cylinder drawn here, the rod of a plunger is the printed body itself, laid where it
runs, at rest and pushed home; distances are those of manifold3d, not of the program's own check.
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from manifold3d import Manifold

from nests.choosing import Choice, choose
from nests.documents.files import data_folder
from nests.finding import Grade
from nests.given.dial import Dial
from nests.given.operation import USUAL
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.holder.compose import compose
from nests.kinds import read
from nests.parts.plunger import Plunger
from nests.places import Side
from nests.study import Study

sys.path.insert(0, str(Path(__file__).parents[1] / "workshop"))
from movements import movement

CARD = PrinterCard()
HANDS = USUAL.operation("chronograph-hands")
FAR = 3.0
LEFT = 0.05
"""mm that are to be left at worst."""


def dialled(sheet: Sheet, diameter: float, underside: float = 0.3) -> Sheet:
    about = Dial(outline=Round(diameter=diameter), underside=underside, hands_height=2.0)
    return replace(sheet, dial=about)


def inv_30_c() -> Sheet:
    return read(data_folder("gallery") / "sheets" / "inv-30-c.json", Sheet)


CASES = ("gallery 34", "gallery 38", "seed 6", "seed 46", "seed 105")
"""Seeds of chronographs, with a dial 5 mm wider than they are, whatever they were drawn with."""


@cache
def sheet_of(case: str) -> Sheet:
    kind, number = case.split()
    if kind == "gallery":
        return dialled(inv_30_c(), float(number))
    sheet = movement(int(number))
    assert isinstance(sheet.outline, Round)
    under = 0.0 if sheet.dial is None else sheet.dial.underside
    through = tuple(k.name for k in sheet.keep_clear if k.side is Side.DIAL)
    wide = dialled(sheet, sheet.outline.diameter + 5.0, max(under, 0.3))
    assert wide.dial is not None
    return replace(wide, dial=replace(wide.dial, through=through))


@cache
def made(case: str) -> Choice:
    return choose("chronograph", sheet_of(case), HANDS, {"pushed_by": "plunger"}, CARD,
                  explain=False)  # fmt: skip


def dial_and_hands(choice: Choice) -> Manifold:
    """A cylinder from the underside of the dial to the top of the hands, in the holder."""
    site, about = choice.recipe.site(), choice.recipe.workpiece.dial
    assert about is not None
    assert isinstance(about.outline, Round)
    face = site.seat + site.sheet.rim + about.underside
    assert about.hands_height is not None
    tall, half = about.thickness + about.hands_height, about.outline.diameter / 2
    return Manifold.cylinder(tall, half, half, 512).translate((0.0, 0.0, face))


def rods(choice: Choice) -> list[tuple[str, Manifold]]:
    """The printed rods, laid where they run: at rest, and pushed home."""
    site, beside, out = choice.recipe.site(), dict(choice.holder.beside), []
    for part in choice.recipe.parts:
        if not isinstance(part, Plunger):
            continue
        pusher = site.sheet.pusher(part.pusher)
        lying = beside[f"{part.label()} rod"].rotate((0.0, 90.0, 0.0))  # it stands on its tip
        turn = math.degrees(site.frame.angle(part.hour(site)))
        for words, pushed in (("rest", 0.0), ("home", part.stroke(site))):
            tip = pusher.lever_radius + part.rest_gap - pushed
            laid = lying.translate((tip, 0.0, site.lever(pusher))).rotate((0.0, 0.0, turn))
            out.append((f"{part.label()} at {words}", laid))
    return out


@pytest.mark.slow
@pytest.mark.parametrize("case", CASES)
def test_a_wide_dial_makes_the_family_choose_another_guide(case: str) -> None:
    """No stop, no mend: guides elsewhere or slimmer, and nothing of the holder near the dial."""
    choice = made(case)
    assert choice.faults == (0, 0), [f.says for f in choice.findings if f.grade is Grade.STOP]
    assert rods(choice)  # a pusher beside the stem is worked through its slot
    over = dial_and_hands(choice)
    assert over.min_gap(choice.holder.solid, FAR) > LEFT
    for words, rod in rods(choice):
        assert over.min_gap(rod, FAR) > LEFT, words


@pytest.mark.parametrize("case", CASES[:3])
def test_the_usual_guide_would_meet_it(case: str) -> None:
    """The same recipe with guides where they usually are meets the dial, and the check says so."""
    choice = made(case)
    usual = {f.name: f.default for f in Plunger.__dataclass_fields__.values()}
    parts = tuple(
        replace(p, out=0.0, pin=usual["pin"], collar=usual["collar"], pocket=usual["pocket"],
                pocket_depth=usual["pocket_depth"])
        if isinstance(p, Plunger) else p
        for p in choice.recipe.parts
    )  # fmt: skip
    assert parts != choice.recipe.parts
    recipe = replace(choice.recipe, parts=parts)
    study = Study.of(compose(recipe))
    met = replace(choice, recipe=recipe, study=study)
    over = dial_and_hands(met)
    assert (over ^ study.solid).volume() > 0.1
    from nests.checks import judge

    found = [f for f in judge(study, ("clearance",)) if f.grade is Grade.STOP]
    assert any("the dial" in f.says and f.parts[0].startswith("plunger") for f in found)
    off = replace(recipe, operation=replace(recipe.operation, absent=("dial",)))
    calm = judge(Study.of(compose(off)), ("clearance",))
    assert not [f for f in calm if f.grade is Grade.STOP]


def test_what_moves_under_a_dial_is_judged_too() -> None:
    """A collar that rides under the dial, beside a hood that stays off it."""
    choice = made("gallery 38")
    site = choice.recipe.site()
    face = site.seat + site.sheet.rim + 0.3
    for words, rod in rods(choice):
        x0, y0, _, x1, y1, high = rod.bounding_box()
        inner = 19.0  # of the dial
        if high > face:  # the collar is higher than the dial's underside, so it stays outside
            under = rod ^ Manifold.cylinder(50.0, inner, inner, 256).translate((0.0, 0.0, face))
            assert under.is_empty(), (words, x0, y0, x1, y1)


@pytest.mark.parametrize("underside", [0.0, 0.3])
def test_walls_stay_below_a_dial_on_the_rim(underside: float) -> None:
    for family, operation in (("hand-setting", "hand-setting"), ("chronograph", HANDS.name)):
        work = dialled(inv_30_c(), 36.0, underside)
        choice = choose(family, work, USUAL.operation(operation), {}, CARD, explain=False)
        assert choice.faults == (0, 0)
        assert dial_and_hands(choice).min_gap(choice.holder.solid, FAR) > LEFT
