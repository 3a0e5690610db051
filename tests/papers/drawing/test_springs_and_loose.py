"""Clips, spring levers and loose bodies are drawn as they were asked for (closed forms)."""

from __future__ import annotations

import math

import pytest
from drawn_holders import CARD, PIECES, ROOT, SIZES, drawing, holder

from nests import families
from nests.given.sheet import Sheet
from nests.holder.compose import compose
from nests.kinds import read
from nests.papers.drawing import Dimension, model
from nests.papers.drawing.loose import loose_bodies
from nests.parts.clip import Clip
from nests.parts.plunger import Plunger
from nests.parts.spring_lever import SpringLever
from nests.parts.swing_tab import SwingTab
from nests.places import Side

CLIPS = ("inv-26-a-inspection-clip-dial", "inv-20-u-inspection-dial")
LEVERS = "inv-30-c-chronograph-spring-lever"
PLUNGERS = "inv-30-c-chronograph-plunger"
TABS = "inv-26-a-inspection-swing-tab-dial"
EXACT = 2e-3
"""mm; what is read off a mesh in single steps of a micrometre."""


def named(name: str, size: float = 1.0) -> dict[str, Dimension]:
    return {each.name: each for each in drawing(name, size).dimensions}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", CLIPS)
def test_a_clip_is_given_with_hook_beam_and_undercut(name: str, size: float) -> None:
    found, site = named(name, size), holder(name, size).recipe.site()
    part = next(p for p in holder(name, size).recipe.parts if isinstance(p, Clip))
    label = part.label()
    beam = part.beam(site)  # the finger as the mechanics bend it
    assert found[f"{label}: thickness"].value == pytest.approx(beam.thickness, abs=EXACT)
    assert found[f"{label}: length"].value == pytest.approx(beam.length, abs=EXACT)
    assert found[label].value == pytest.approx(beam.width, abs=EXACT)
    flanges = [site.sheet.edge(side)[0] for side in Side]
    reach = max(flanges) - site.sheet.edge(site.side_up)[0] + part.play + part.grip
    assert found[f"{label}: hook"].value == pytest.approx(reach, abs=EXACT)
    assert found[f"{label}: room behind"].value == pytest.approx(part.grip + part.slit, abs=EXACT)
    # from the ledge up over the rim, and on by as much as the hook leans out
    undercut = site.sheet.rim + reach * site.rise
    assert found[f"{label}: undercut"].value == pytest.approx(undercut, abs=EXACT)


def test_a_clip_square_to_a_flank_is_cut_along_its_own_line() -> None:
    """Not along the ray from the axis, on which hook and finger would look longer by 1 / cos."""
    sheet, rule = read(ROOT / "sheets" / "inv-17-t.json", Sheet), families.family("inspection")
    recipe = rule.recipe(sheet, None, rule.Wish(side_up="bridge"), CARD)
    part = next(p for p in recipe.parts if isinstance(p, Clip))
    assert part.outward is not None
    assert abs(part.outward - part.at) > 0.5
    found, label = {d.name: d for d in model(compose(recipe)).dimensions}, part.label()
    for name, wanted in (
        (f"{label}: hook", part.play + part.grip),
        (f"{label}: thickness", part.thickness),
        (f"{label}: room behind", part.grip + part.slit),
        (label, part.width),
    ):
        assert found[name].value == pytest.approx(wanted, abs=EXACT)


@pytest.mark.parametrize("size", SIZES)
def test_a_spring_lever_is_given_with_its_arm(size: float) -> None:
    found, site = named(LEVERS, size), holder(LEVERS, size).recipe.site()
    levers = [p for p in holder(LEVERS, size).recipe.parts if isinstance(p, SpringLever)]
    assert levers
    for part in levers:
        label = part.label()
        outer = site.outer(site.sheet.pusher(part.pusher).hour)
        inner = outer - part.arm
        chord = site.chord
        assert found[f"{label}, arm, thickness"].value == pytest.approx(part.arm, abs=chord)
        assert found[f"{label}, slit"].value == pytest.approx(part.stroke(site), abs=chord)
        assert found[f"{label}, nose"].value == pytest.approx(part.nose, abs=EXACT)
        # straight from the slit's end, at part.length along the arm, to the arm's end beyond
        turn = part.length / inner + math.asin(part.nose / 2 / inner)
        straight = 2 * inner * math.sin(turn / 2)
        assert found[f"{label}, arm, length"].value == pytest.approx(straight, abs=2 * chord)
    width = [d for n, d in found.items() if n.endswith("width of the arm")]
    assert [d.value for d in width] == [pytest.approx(site.top, abs=EXACT)]


@pytest.mark.slow
def test_every_loose_body_is_shown_once() -> None:
    for name in PIECES:
        shown = [b.name for b in drawing(name).blocks if b.name.startswith("loose ")]
        kinds = loose_bodies(holder(name))
        assert shown == [f"loose {kind.title}" for kind in kinds]
        assert sorted(n for kind in kinds for n in kind.names) == sorted(
            body for body, _ in holder(name).beside
        )
        for kind in kinds:
            mine = [d for d in drawing(name).dimensions if d.body in kind.names]
            assert len(mine) >= 4, kind.title


@pytest.mark.parametrize("size", SIZES)
def test_rod_and_button_fit_each_other(size: float) -> None:
    found, recipe = named(PLUNGERS, size), holder(PLUNGERS, size).recipe
    part = next(p for p in recipe.parts if isinstance(p, Plunger))
    rod = f"{part.label()} rod"
    # printed = drawn + bias of what is outside: 0.04 mm on this printer
    assert found[f"{rod}: ⌀ 1"].value == pytest.approx(part.collar - CARD.outside_bias, abs=EXACT)
    assert found[f"{rod}: ⌀ 2"].value == pytest.approx(part.pin - CARD.outside_bias, abs=EXACT)
    assert found["plunger button: bore"].value == pytest.approx(
        part.pin - CARD.inside_bias, abs=recipe.chord_error
    )
    assert found["plunger button: outer"].value == pytest.approx(part.button, abs=EXACT)


@pytest.mark.parametrize("size", SIZES)
def test_a_swing_tab_is_as_long_as_it_reaches(size: float) -> None:
    found, recipe = named(TABS, size), holder(TABS, size).recipe
    part = next(p for p in recipe.parts if isinstance(p, SwingTab))
    # half a width round the screw, then from the screw to over the rim's edge
    length = part.width / 2 + part.out + part.over
    assert found["swing tab plate: length"].value == pytest.approx(length, abs=EXACT)
    assert found["swing tab plate: width"].value == pytest.approx(part.width, abs=EXACT)
    assert found["swing tab plate: height"].value == pytest.approx(part.thickness, abs=EXACT)
    bore = CARD.inside(part.screw + 0.2)
    assert found["swing tab plate: bore"].value == pytest.approx(bore, abs=recipe.chord_error)
