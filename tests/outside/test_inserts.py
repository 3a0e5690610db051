"""Pins and set screws: sizes against the standards' tables, and what of them goes in a holder.

The figures of the standards are written down here a second time, from memory, and not taken from
the program: ISO 2338:1997 and ISO 8734:1997, table 1 (parallel pins, ⌀ and shortest and longest
length); ISO 4026:2003, table 1 (set screws with flat point: pitch, ⌀ of the point, width across
flats); ISO 261:1998 (coarse pitches).
"""

from __future__ import annotations

import math
from collections import Counter
from functools import cache

import pytest
from manifold3d import Manifold

from nests.holder.buying import to_buy
from nests.holder.compose import Holder, compose
from nests.orders.gallery import PIECES, ordered
from nests.parts import metal
from nests.parts.insert import Insert, pin_in, screw_in
from nests.parts.site import Site
from nests.units import BadInput

from .test_load_path import SEAT, Place, StakePost, jewel, recipe

ISO_2338 = {0.6: (2, 6), 0.8: (2, 8), 1.0: (4, 10), 1.2: (4, 12), 1.5: (4, 16), 2.0: (6, 20),
            2.5: (6, 24), 3.0: (8, 30), 4.0: (8, 40), 5.0: (10, 50)}  # fmt: skip
ISO_8734 = {1.0: (3, 10), 1.5: (4, 16), 2.0: (5, 20), 2.5: (6, 24), 3.0: (8, 30), 4.0: (10, 40),
            5.0: (12, 50)}  # fmt: skip
ISO_4026 = {1.6: (0.35, 0.8, 0.7), 2.0: (0.4, 1.0, 0.9), 2.5: (0.45, 1.5, 1.3),
            3.0: (0.5, 2.0, 1.5), 4.0: (0.7, 2.5, 2.0)}  # fmt: skip
ISO_261 = {1.0: 0.25, 1.2: 0.25, 1.4: 0.3, 1.6: 0.35, 2.0: 0.4, 2.5: 0.45, 3.0: 0.5, 4.0: 0.7}


def test_sizes_are_those_of_the_standards() -> None:
    assert metal.PARALLEL_PINS == ISO_2338
    assert metal.DOWEL_PINS == ISO_8734
    assert metal.PITCHES == ISO_261
    assert {s.across: (s.pitch, s.flat, s.key) for s in metal.SET_SCREWS} == ISO_4026
    for screw in metal.SET_SCREWS:
        # a hexagon is 2/√3 as wide across its corners as across its flats, and goes through the
        # bore that is tapped: the tapping drill is the thread less its pitch
        assert screw.corners == pytest.approx(screw.key * 2 / math.sqrt(3), abs=0.015)
        assert screw.corners < screw.core == pytest.approx(screw.across - ISO_4026[screw.across][0])
        assert screw.shortest >= 2.0  # the shortest of all


@pytest.mark.parametrize(
    ("across", "length", "words"),
    [
        (1.0, 4.0, "parallel pin ISO 2338, 1.0 × 4 mm"),
        (1.0, 3.0, "parallel pin ISO 8734, 1.0 × 3 mm"),
        (1.3, 5.0, "rod ⌀1.3 mm"),
        (0.6, 8.0, "rod ⌀0.6 mm"),
    ],
)
def test_a_pin_is_asked_for_by_what_is_made(across: float, length: float, words: str) -> None:
    assert metal.pin_words(across, length)[0] == words


def _site() -> Site:
    return recipe(SEAT, arbors=(jewel(Place(0.0, 0.0)),)).site()


@pytest.mark.parametrize("end", [4.2, 5.0, 6.4, 9.0])
@pytest.mark.parametrize("across", [0.5, 0.9, 1.2, 1.5, 1.6, 2.0])
def test_what_stands_in_a_bore_is_held_and_stays_above_the_bench(across: float, end: float) -> None:
    """Pin on screw without a gap; screws in lengths that are made; or one sentence."""
    for laid in (pin_in, screw_in):
        try:
            held = laid(_site(), "post", across, 0.5, end)
        except BadInput:
            with pytest.raises(BadInput, match="too low for"):
                laid(_site(), "post", across, 0.5, end)
            assert end < 6.0  # what is high enough for everything
            continue
        assert held.low + held.length == pytest.approx(end)
        lowest = held.low if held.screw is None else held.screw_low
        assert lowest >= 0.3 - 1e-9
        if held.screw is not None:
            assert held.screw_length in metal.LENGTHS
            assert held.screw_length >= 1.25 * held.screw.across - 1e-9
            top = held.screw_low + held.screw_length
            assert top == pytest.approx(end if held.alone else held.low)
            assert held.alone == (across in ISO_4026)
            assert held.alone or held.screw.core >= across
        force, _ = held.holds(_site().card)
        assert force > 0.0


def test_glue_and_thread_hold_by_hand() -> None:
    """τ π d l of a glued pin; half of π d l of a thread, at the resin's strength over √3."""
    card = _site().card
    pin = Insert(1.0, 5.0, 6.0, 1.0)
    assert pin.holds(card)[0] == pytest.approx(8.0 * math.pi * 1.0 * 4.0)
    (screw,) = (s for s in metal.SET_SCREWS if s.across == 2.0)
    turned = Insert(2.0, 3.0, 6.0, 0.5, screw, True, 3.0, 3.0, 6.0)
    shear = card.modulus * card.strain_limit / math.sqrt(3.0)
    assert turned.holds(card)[0] == pytest.approx(0.5 * math.pi * 2.0 * 3.0 * shear)


def test_an_end_bears_on_the_flat_beside_an_oil_sink() -> None:
    """The ring between sink and edge: π/4 (d² - s²); none left is refused in a sentence."""
    at = Place(0.0, 0.0)
    post = StakePost(under="pressed", kind="pin", insert=1.2, insert_out=1.0, tip=1.2)
    sunk = recipe(SEAT, post, arbors=(jewel(at, oil_sink=0.6),))
    (contact,) = post.contacts(sunk.site())
    assert contact.area == pytest.approx(math.pi / 4 * (1.2**2 - 0.6**2))
    assert not contact.printed
    wide = recipe(SEAT, post, arbors=(jewel(at, oil_sink=1.1),))
    with pytest.raises(BadInput, match=r"leaves 0\.05 mm round an oil sink of 1\.1 mm"):
        compose(wide)


FAMILIES = ("hand-setting", "thin", "pressing", "shaped", "chronograph", "cradle")
PRESSED = {piece.slug(): piece for piece in PIECES if piece.family in FAMILIES}


@cache
def _made(slug: str) -> Holder:
    return compose(ordered(PRESSED[slug]).recipe)


@pytest.mark.slow
@pytest.mark.parametrize("piece", PRESSED)
def test_a_driver_reaches_every_screw_from_below(piece: str) -> None:
    """The key, as a cylinder across its corners, goes free from the bench up to the screw; above
    it screw and pin have room as they are drawn."""
    holder = _made(piece)
    site = holder.recipe.site()
    for part in holder.recipe.parts:
        post = part.post()
        held = post.inserted(site) if post is not None else None
        if post is None or held is None:
            continue
        at = post.foothold(site).at
        ways = [(held.across, held.low, held.end)]
        if held.screw is not None:
            flats = ISO_4026[held.screw.across][2]
            ways.append((flats * 2 / math.sqrt(3), -0.1, held.screw_low))
            if held.alone:  # of which the thread cuts into the resin
                ways[0] = (held.screw.core - 0.01, held.low, held.end)
        for across, low, high in ways:
            way = Manifold.cylinder(high - low, across / 2, across / 2, 48)
            way = way.translate((at.x, at.y, low))
            assert (way ^ holder.solid).volume() < 1e-6, (post.under, across, low)


@pytest.mark.slow
@pytest.mark.parametrize("piece", PRESSED)
def test_the_list_counts_all_metal_of_the_recipe(piece: str) -> None:
    holder = _made(piece)
    listed = Counter[str]()
    for each in to_buy(holder.recipe):
        listed[each.what.split()[0]] += each.count
    posts = [post for part in holder.recipe.parts if (post := part.post()) is not None]
    screws = [post for post in posts if post.kind == "screw"]
    alone = [post for post in screws if post.insert in ISO_4026]
    pins = [post for post in posts if post.kind == "pin"]
    assert listed["set"] == len(screws)
    assert listed["parallel"] + listed["rod"] == len(pins) + len(screws) - len(alone)
    tabs = sum(part.tag == "swing tab" for part in holder.recipe.parts)
    assert listed["cheese"] == tabs
