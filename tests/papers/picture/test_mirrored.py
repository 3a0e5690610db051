"""With the bridge side up the headings say hours of the dial; the geometry stays as it is."""

from __future__ import annotations

import math
from io import BytesIO
from typing import Any

import numpy as np
import pytest
from picture_shapes import likeness, page, pixels
from PIL import Image

from nests.given.operation import Operation
from nests.given.sheet import Rest, Sheet
from nests.given.zones import Disc, Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.papers.picture import View
from nests.papers.picture.pages import hour_words
from nests.papers.picture.writing import SMALL
from nests.papers.scenes import outside
from nests.parts.body import Body
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Frame, Side, at_hour


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("hour", [0.0, 1.0, 3.0, 5.0, 6.0, 7.25, 11.5, 12.0, 14.0])
def test_hour_said_is_the_dial_hour_that_lies_there(side: Side, hour: float) -> None:
    """`places.Frame` carries the hour that is said to where the eye of the holder's hour stands."""
    said = float(hour_words(hour, side is Side.BRIDGE).removesuffix(" h"))
    assert 0.0 < said <= 12.0
    place = Frame(side, seat=0.0, rim=1.0).place(at_hour(said, 1.0))
    _, _, toward = View(hour, 0.0).axes()
    assert (place.x, place.y) == pytest.approx((toward[0], toward[1]), abs=1e-9)


@pytest.mark.slow
def test_only_the_headings_change() -> None:
    """5 h is read as 7 h, the cut 7 h to 1 h as 5 h to 11 h; every other pixel is the same."""
    plain, turned = page(cut_hour=1.0), page(cut_hour=1.0, mirrored=True)
    rows = np.nonzero((pixels(plain) != pixels(turned)).any(axis=(1, 2)))[0]
    assert rows.min() > 600
    assert rows.max() < 640, "the band of the headings"
    columns = np.nonzero((pixels(plain) != pixels(turned)).any(axis=(0, 2)))[0]
    assert columns.min() > 120, "to the right of the small dial"
    straight, mirror = (
        Image.open(BytesIO(png)).convert("RGB").crop((0, 600, 1200, 640)) for png in (plain, turned)
    )
    for image, words in (
        (straight, ("outside, seen from 5 h", "cut from 7 h to 1 h, seen from 4 h")),
        (mirror, ("outside, seen from 7 h", "cut from 5 h to 11 h, seen from 8 h")),
    ):
        for heading in words:
            assert likeness(image, heading, SMALL) > 0.97


@pytest.mark.parametrize("side", list(Side))
def test_pack_cuts_through_its_post_and_says_the_posts_hour(
    side: Side, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A post at 2 h of the dial is cut, and said, at 2 h whichever side is up."""
    zone = Disc(centre=at_hour(2.0, 5.0), diameter=2.0)
    sheet = Sheet(
        name="plain 26",
        outline=Round(diameter=26.0),
        rim=1.6,
        dial_height=1.0,
        bridge_height=1.0,
        rests=(Rest(name="A", side=side.other, height=0.5, zone=zone),),
    )
    post, body = StakePost(under="A"), Body(under=3.0)
    work = Operation(name="general", side_up=side)
    recipe = Recipe(name="t", workpiece=sheet, operation=work, parts=(RingSeat(), post), body=body)
    asked: dict[str, Any] = {}
    monkeypatch.setattr(
        "nests.papers.scenes.holder_picture", lambda _, **more: asked.update(more) or b""
    )
    outside(compose(recipe), ())
    assert asked["mirrored"] is (side is Side.BRIDGE)
    assert hour_words(asked["cut_hour"], asked["mirrored"]) == "2 h"
    at = post.foothold(recipe.site()).at
    right = View(asked["cut_hour"] + 3.0, 0.0).axes()[0]
    assert math.atan2(at.x, at.y) == pytest.approx(math.atan2(right[0], right[1]))
