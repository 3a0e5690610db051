"""Sound solids: every family as it writes recipes, and features 5 % on the good side of a limit."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import features as f
from cases import Case, bare, inside
from planting import Point
from printing import foot, foot_of, peel_of

from nests import families
from nests.documents.files import data_folder
from nests.holder.compose import compose
from nests.study import Study
from tests.ordering import preferred


def _near_misses() -> Iterator[Case]:
    """The features 5 % on the good side of their limits."""
    for where in ("block", "cushion", "round"):
        yield inside(where, "fin 0.63", "", lambda _: f.fin(0.63))
        yield inside(where, "web 0.63", "", lambda _: f.web(0.63))
        yield inside(where, "posts 0.315 apart", "", lambda _: f.posts(0.315))
        yield inside(where, "bracket 0.475", "", lambda _: f.bracket(0.475))
        yield inside(where, "bridge 1.9", "", lambda _: f.bridge(1.9))
        yield inside(where, "mushroom 0.475", "", lambda _: f.mushroom(0.475))
        yield inside(where, "flare 42.75°", "", lambda _: f.flare(42.75, 2.0))
        yield inside(where, "ramp 45°", "", lambda _: f.ramp(45.0, 2.0))
        yield inside(where, "standing pin", "", lambda _: f.standing())
        yield inside(where, "pocket 4.75 mm³", "", lambda _: f.pocket(4.75))
        yield inside(where, "pin 0.63", "", lambda _: f.pin(0.63))
        yield inside(where, "blind bore 0.525", "", lambda _: f.hole(0.525))
        yield inside(where, "recess 0.475 mm³", "", lambda g: f.under(0.475, g.top))
        yield inside(where, "slot 0.315", "", lambda g: f.slot(0.315, g.out))
        yield inside(where, "skin 0.63", "", lambda g: f.skin(0.63, g.top))
    yield inside("block", "bottle, neck 1.05", "", lambda _: f.bottle(1.05))
    yield inside("block", "vented pocket", "", lambda g: f.vented_pocket(12.5, g.out, 0.0))
    yield bare("block, chamfer 0.1825", "", lambda: foot(0.1825, (0.0, 0.0)))
    yield bare(
        "step, 5 % under the card's area", "", lambda: f.stepped(150.0, 2.0), largest_peel=157.5
    )
    yield foot_of("cushion", "inv-case-38", 0.1825, kind="")
    yield peel_of("round", 0.95, kind="")


SIZES: dict[str, tuple[str, dict[str, Any], tuple[dict[str, Any], ...]]] = {
    "case": ("inv-case-38", {}, ({}, {"wall": 6.0}, {"wall": 10.0}, {"floor": 4.0}, {"play": 0.4})),
    "chronograph": (
        "inv-30-c",
        {"pushed_by": "slot"},
        ({}, {"wall": 9.0}, {"wall": 14.0}, {"floor": 3.0}, {"ledge": 1.3}),
    ),
    "cradle": (
        "inv-tc-12",
        {},
        ({}, {"wall": 6.0}, {"wall": 12.0}, {"floor": 3.0}, {"floor": 5.0, "wall": 9.0}),
    ),
    "cushion": (
        "inv-case-38",
        {},
        ({}, {"wall": 7.0}, {"wall": 9.0}, {"wall": 12.0}, {"chord_error": 0.02}),
    ),
    "hand-setting": (
        "inv-26-a",
        {},
        ({}, {"wall": 6.0}, {"wall": 12.0}, {"floor": 4.0}, {"wall": 9.0, "floor": 6.0}),
    ),
    "inspection": (
        "inv-20-u",
        {},
        ({}, {"wall": 7.0}, {"wall": 12.0}, {"floor": 3.0}, {"wall": 9.0, "floor": 5.0}),
    ),
    "pressing": (
        "inv-30-t",
        {"arbor": "third wheel", "force": 25.0},
        ({}, {"wall": 6.0}, {"wall": 12.0}, {"floor": 4.0}, {"side_up": "dial"}),
    ),
    "round": (
        "",
        {},
        tuple({"diameter": d, "height": h} for d, h in ((12.0, 2.5), (17.5, 3.0), (23.3, 3.6)))
        + ({"diameter": 31.0, "height": 5.0, "wall": 6.0}, {"diameter": 42.0, "height": 8.0}),
    ),
    "shaped": (
        "inv-17-t",
        {},
        ({}, {"wall": 6.0}, {"wall": 12.0}, {"floor": 4.0}, {"wall": 9.0, "floor": 6.0}),
    ),
    "thin": (
        "inv-20-u",
        {},
        ({}, {"wall": 6.0}, {"wall": 12.0}, {"floor": 3.0}, {"play": 0.2}),
    ),
}
"""For each family a sheet, the options it needs, and five sizes."""


def _defaults() -> Iterator[Case]:
    """Every family as it writes recipes by itself, at five sizes."""
    for family in families.names():
        sheet, needed, sizes = SIZES[family]
        for index, size in enumerate(sizes):
            yield _default(family, sheet, {**needed, **size}, slow=index > 0)


def _default(family: str, sheet: str, options: dict[str, Any], slow: bool) -> Case:
    def build() -> tuple[Study, Callable[[Point], float]]:
        path = data_folder("gallery") / "sheets" / f"{sheet}.json" if sheet else None
        return Study.of(compose(preferred(family, options, sheet=path).recipe)), lambda _: 0.0

    words = ", ".join(f"{k} {v}" for k, v in options.items()) or "as it is"
    return Case(f"{family} {sheet}: {words}", "", build, slow=slow)


def sound() -> tuple[Case, ...]:
    """Every case in which nothing may be found."""
    return (*_defaults(), *_near_misses())
