"""Every part is walked through drawing, acceptance, drawer and report by what it says of itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest

from nests.documents.files import data_folder
from nests.documents.schema import variants
from nests.drawer.typed import typed
from nests.holder.compose import Holder, Laid, compose
from nests.holder.gauging import to_gauge
from nests.holder.recipe import MOULD
from nests.orders.gallery import PIECES
from nests.papers.drawing import Drawing, model
from nests.papers.drawing.noted import Lost
from nests.parts.base import Part
from nests.parts.drawn import Channel, Drawn, FreeArm, Tunnel, Well, Width
from nests.parts.feature import Feature
from nests.parts.finger_relief import FingerRelief
from nests.parts.pusher_slot import PusherSlot
from nests.parts.site import Site
from tests.ordering import preferred
from tests.pieces import FIRST

TAGS = tuple(variants(Part))
NEEDED = ("shape", "lies", "drawn", "features")


@cache
def holders() -> tuple[Holder, ...]:
    root = data_folder("gallery")
    card = root / "printers" / "bench-printer.json"
    out = []
    for piece in PIECES:
        sheet = root / "sheets" / f"{piece.sheet}.json" if piece.sheet else None
        asked = {"sheet": sheet, "operation": piece.operation, "printer": card}
        out.append(compose(preferred(piece.family, piece.options, **asked).recipe))
    return tuple(out)


@cache
def drawing_of(index: int) -> Drawing:
    return model(holders()[index])


def laid(tag: str) -> Iterator[tuple[int, Laid]]:
    for index, holder in enumerate(holders()):
        yield from ((index, each) for each in holder.laid if each.part.tag == tag)


def dimension_of(label: str, item: Drawn) -> str | None:
    """Name under which a drawing has to give an item; None for what stands where a section or a
    table shows it."""
    if isinstance(item, Width | Well):
        return f"{label}, {item.name}" if item.name else label
    if isinstance(item, Channel):
        return label
    if isinstance(item, Tunnel):
        return f"{label}, guide"
    return f"{label}, arm, length" if isinstance(item, FreeArm) else None


@pytest.mark.parametrize("pieces", ["some", pytest.param("all", marks=pytest.mark.slow)])
@pytest.mark.parametrize("tag", TAGS)
def test_what_a_part_says_is_found_in_drawing_acceptance_drawer_and_report(
    tag: str, pieces: str
) -> None:
    found = list(laid(tag))
    assert found, f"no piece of the gallery has a {tag}"
    if pieces == "some":
        first = [pair for pair in found if PIECES[pair[0]].slug() in FIRST.values()]
        found = (first or found)[:4]
    for index, each in found:
        holder = holders()[index]
        site, recipe = holder.recipe.site(), holder.recipe
        given = {d.name for d in drawing_of(index).dimensions}
        wanted = {dimension_of(each.label, item) for item in each.part.drawn(site)} - {None}
        assert wanted <= given, (recipe.name, wanted - given)
        rows = to_gauge(recipe)
        for feature in each.part.features(site):
            mine = [row for row in rows if row.feature.says == feature.says]
            assert mine, (recipe.name, feature.says)
            row = mine[0]
            value = "good" if row.tried else f"{row.feature.nominal:.3f}"
            told = typed((f"{row.name}={value}",), recipe)
            assert row.name in (told.tried if row.tried else told.sizes)
        serves = each.part.serves()
        for pusher in serves.pushers:
            assert each.part.access(site, pusher).z == site.lever(site.sheet.pusher(pusher))
        assert (each.part.holding(site) is not None) is serves.holds
        assert (each.part.stem_way(site) is not None) is serves.stem
        assert all(c.above is serves.holds for c in each.part.contacts(site))
        if serves.carries and recipe.kind != MOULD:
            assert each.part.seats(site)


@pytest.mark.parametrize("answer", NEEDED)
def test_an_answer_that_is_missing_raises(answer: str) -> None:
    class Mute(Part):
        """A part that says nothing."""

    site: Site = holders()[0].recipe.site()
    with pytest.raises(NotImplementedError, match=f"Mute.{answer}"):
        getattr(Mute(), answer)(site)


def test_a_slot_set_aside_keeps_its_width_in_the_drawing() -> None:
    """It lay 0.03 h beside its pusher and lost its width, silently."""
    recipe = next(
        h.recipe for h in holders() if any(isinstance(p, PusherSlot) for p in h.recipe.parts)
    )
    slot = next(part for part in recipe.parts if isinstance(part, PusherSlot))
    hour = round(recipe.workpiece.pusher(slot.pusher).hour + 0.03, 3)
    aside = replace(slot, at=hour)
    parts = tuple(aside if part is slot else part for part in recipe.parts)
    names = {d.name: d.value for d in model(compose(replace(recipe, parts=parts))).dimensions}
    assert names[slot.label()] == pytest.approx(slot.width, abs=0.002)


def test_what_a_part_has_and_the_solid_does_not_show_is_said_to_be_lost() -> None:
    recipe = next(
        h.recipe for h in holders() if any(isinstance(p, FingerRelief) for p in h.recipe.parts)
    )
    relief = next(part for part in recipe.parts if isinstance(part, FingerRelief))
    # one inside the other: nothing of the narrow one is left to measure
    inner = replace(relief, width=3.0)
    with pytest.raises(Lost, match="is not found on the solid"):
        model(compose(replace(recipe, parts=(*recipe.parts, inner))))


def test_features_have_names_of_their_own() -> None:
    for holder in holders():
        names = [row.name for row in to_gauge(holder.recipe)]
        assert len(set(names)) == len(names)
        assert all(isinstance(row.feature, Feature) for row in to_gauge(holder.recipe))
