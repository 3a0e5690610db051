"""Families choose posts by what the jewel, the plate, the printer and the endshake allow.

What a choice must hold to is worked out from the load path, whose own tests stand in
tests/outside/test_load_path.py; here it is asked whether the choice follows.
"""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from nests import families
from nests.checks import judge
from nests.documents.files import data_folder
from nests.finding import Finding, Grade, Refused
from nests.given.operation import EVERY, Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, Jewel, KeepClear, PlateStock, Rest, Sheet
from nests.given.zones import Disc, Ring, Round
from nests.holder.compose import compose
from nests.holder.gauging import to_gauge
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.load_path.paths import press_paths
from nests.load_path.setting import setting, tried
from nests.load_path.supports import drawn, props
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Place, Side, at_hour
from nests.study import Study

MIDDLE = Place(0.0, 0.0)
SETTLED = ("load path", "post")
EDGE = Rest(name="edge", side=Side.BRIDGE, height=0.0, zone=Ring(outer=26.0, inner=23.0))
SURROUND = tuple(
    Rest(name=name, side=Side.BRIDGE, height=1.0, zone=Disc(centre=at_hour(h, 8.0), diameter=3.0))
    for name, h in (("A", 1.0), ("B", 5.0))
)


def movement(at: Place = MIDDLE, **more: Any) -> Sheet:
    """A movement with one pressed jewel, 15 N in its fit."""
    jewel = Jewel(side=Side.BRIDGE, diameter=1.6, height=1.0, push_out_force=15.0)
    about = {
        "bridges": PlateStock(thickness=1.0),
        "plate": PlateStock(thickness=1.6),
        "arbors": (Arbor(name="pressed", at=at, carries=("hand",), jewels=(jewel,)),),
        "rests": (EDGE,),
        "uncertainty": 0.01,
        "mass": 9.0,
    }
    return Sheet(
        name="chosen", outline=Round(diameter=26.0), rim=2.0, dial_height=1.5, bridge_height=1.5,
        **{**about, **more},
    )  # fmt: skip


def made(sheet: Sheet, force: float = 20.0, family: str = "hand-setting", **wish: Any) -> Recipe:
    rule = families.family(family)
    presses = (Press(arbor="pressed", force=force),)
    work = Operation(name="hands", side_up=Side.DIAL, presses=presses)
    return rule.recipe(sheet, work, rule.Wish(**wish), PrinterCard())


def post(recipe: Recipe) -> StakePost:
    (one,) = (p for p in recipe.parts if isinstance(p, StakePost) and p.under == "pressed")
    return one


def found(recipe: Recipe) -> list[Finding]:
    return judge(Study.of(compose(recipe)), SETTLED)


def grades(recipe: Recipe) -> set[Grade]:
    return {f.grade for f in found(recipe)}


@pytest.mark.parametrize(
    ("force", "uncertainty", "kind"),
    [(14.0, 0.05, "printed"), (20.0, 0.01, "pin"), (20.0, 0.05, "screw")],
)
def test_simplest_kind_that_keeps_the_jewel_in_place(
    force: float, uncertainty: float, kind: str
) -> None:
    """Below the push-out force any post will do; above it the height must be known or set."""
    recipe = made(movement(uncertainty=uncertainty), force)
    assert post(recipe).kind == kind
    (why, *_) = recipe.reasons
    assert f"{force:g} N pressed" in why
    findings = found(recipe)
    assert {f.grade for f in findings} == {Grade.CLEAR}
    assert any("slides from 15.0 N (measured on this jewel)" in f.says for f in findings)


def test_the_force_alone_does_not_choose() -> None:
    """`pin_above` counts only where no thickness is known, and then the reason says so."""
    for limit in (1.0, 300.0):
        assert post(made(movement(), 14.0, pin_above=limit)).kind == "printed"
    unknown = movement(bridges=PlateStock())
    assert post(made(unknown, 14.0, pin_above=10.0)).kind == "pin"
    recipe = made(unknown, 14.0, pin_above=300.0)
    assert post(recipe).kind == "printed"
    assert "no thickness of the bridges" in recipe.reasons[0]
    assert "from memory" in recipe.reasons[0]


def test_more_endshake_lets_a_simpler_post_do() -> None:
    def with_change(allowed: float) -> Sheet:
        sheet = movement(uncertainty=0.03)
        return replace(sheet, arbors=(replace(sheet.arbors[0], endshake_change=allowed),))

    order = ["printed", "pin", "screw"]
    chosen = [order.index(post(made(with_change(a))).kind) for a in (0.01, 0.03, 0.06, 0.1)]
    assert chosen == sorted(chosen, reverse=True)
    assert chosen[0] == 2
    assert chosen[-1] == 0


def test_nothing_suffices_is_refused_with_the_numbers() -> None:
    with pytest.raises(Refused, match=r"no post keeps the jewel of 'pressed' in place under 300 N"):
        made(movement(), 300.0)


def test_carried_on_posts_a_printed_one_will_do_under_an_outer_jewel() -> None:
    """Two rests and the jewel carry; whatever the plate, statics send the press into the post.

    It was not weighed, so nothing says that a finger on its rim tips it.
    """
    corner = at_hour(9.0, 8.0)
    for stock in (PlateStock(thickness=1.0), PlateStock()):
        sheet = movement(
            corner, rests=(EDGE, *SURROUND), bridges=stock, uncertainty=0.05, mass=None
        )
        recipe = made(sheet, family="thin")
        (seat,) = (p for p in recipe.parts if isinstance(p, RingSeat))
        assert seat.drop > 0.0
        assert post(recipe).kind == "printed"
    assert "statics" in recipe.reasons[0]


@pytest.mark.parametrize(("mass", "drop"), [(9.0, 0.0), (70.0, 0.0), (90.0, 0.2)])
def test_where_a_finger_would_tip_it_over_its_posts_the_ledge_carries(
    mass: float, drop: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Feet at 8 mm, 12, 4 and 8 h, tips of 2.5 mm or 1.6 mm: at F = W a/(R - a), a = 4.8 mm to the
    nearest side, 0.5 N on the rim at 13 mm tip up to 87 g. How posts sink under that is left out.
    """
    monkeypatch.setattr("nests.load_path.strength.sinks", lambda *_: 0.0)
    rests = tuple(
        Rest(name=f"rest {h:g}", side=Side.BRIDGE, height=1.0,
             zone=Disc(centre=at_hour(h, 8.0), diameter=2.0))
        for h in (0.0, 8.0)
    )  # fmt: skip
    sheet = movement(at_hour(4.0, 8.0), rests=(EDGE, *rests), mass=mass)
    (seat,) = (p for p in made(sheet, family="thin").parts if isinstance(p, RingSeat))
    assert seat.drop == drop


def test_posts_carry_where_no_metal_has_room() -> None:
    """Hand setting lays the rim on its ledge, unless only carrying on posts keeps the jewel."""
    corner = at_hour(9.0, 8.0)
    # it hangs lower than the resin of a pin or screw may end above the floor
    beside = KeepClear(
        name="spring", side=Side.BRIDGE, from_height=0.0, to_height=4.0,
        zone=Disc(centre=Place(corner.x + 1.5, corner.y), diameter=1.0),
    )  # fmt: skip
    sheet = movement(corner, keep_clear=(beside,), rests=(EDGE, *SURROUND))
    recipe = made(sheet)
    (seat,) = (p for p in recipe.parts if isinstance(p, RingSeat))
    assert post(recipe).kind == "printed"
    assert seat.drop > 0.0
    assert grades(recipe) == {Grade.CLEAR}
    with pytest.raises(Refused, match="no post keeps the jewel"):
        made(
            replace(sheet, rests=(EDGE,))
        )  # and where there are no posts to carry on, nothing does


def test_the_set_height_protects_at_both_ends_of_its_tolerance() -> None:
    """The tolerance said is the one that holds: jewel high or low by its measuring uncertainty, the
    pin set high or low by what paper lets pass."""
    sheet = movement(uncertainty=0.008)
    recipe = made(sheet)
    site, parts = recipe.site(), [(p.label(), p) for p in recipe.parts]
    own = post(recipe)
    assert own.kind == "pin"
    (one,) = press_paths(site, props(site, parts), {"pressed": 20.0})
    assert setting(one) == pytest.approx(own.short, abs=1.1e-3)  # heights are given to a µm
    assert one.known.post is not None
    (row,) = (r for r in to_gauge(recipe) if r.feature.under == "pressed" and not r.tried)
    allowed = row.feature.within
    assert allowed == 0.01
    for each in one.both:
        assert each.pressed is not None
        off = np.array([[s, m] for s in (-allowed, allowed) for m in (-0.008, 0.008)])
        gaps = one.known.post.gap + off.sum(axis=1)
        many = each.pressed.paths(
            20.0, gaps, one.known.post.stiffness, each.pressed.carried.supports.gaps[None]
        )
        assert np.abs(many.slide).max() <= 0.01 + 1e-3  # a height is given to a µm
    others = drawn(site, [(name, p) for name, p in parts if p is not own])
    assert tried(site, others, replace(own, short=0.0), 20.0)[0] == own


def test_rest_posts_never_lift_the_rim() -> None:
    sheet = movement(rests=(EDGE, *SURROUND), uncertainty=0.03)
    recipe = made(sheet)
    site = recipe.site()
    here = props(site, [(p.label(), p) for p in recipe.parts])
    ledge = min(p.gap for p in here if not p.kind)
    under = [p for p in here if p.kind and p.touches != "pressed"]
    assert len(under) == 2
    assert all(p.gap - p.half_width >= ledge - 1e-9 for p in under)
    assert all(p.gap - p.half_width < ledge + PrinterCard().layer for p in under)


GALLERY = [
    ("hand-setting", "inv-26-a", "pin"),
    ("hand-setting", "inv-30-c", "screw"),
    ("thin", "inv-20-u", "screw"),
    ("thin", "inv-26-a", "pin"),
    ("shaped", "inv-17-t", "screw"),
    ("chronograph", "inv-30-c", "screw"),
]


@pytest.mark.parametrize(("family", "name", "kind"), GALLERY)
def test_gallery_holders_keep_their_jewels(family: str, name: str, kind: str) -> None:
    root = data_folder("gallery")
    sheet = read(root / "sheets" / f"{name}.json", Sheet)
    card = read(root / "printers" / "bench-printer.json", PrinterCard)
    rule = families.family(family)
    presses = (Press(arbor=EVERY, force=20.0),)
    work = Operation(name="hands", side_up=Side.DIAL, presses=presses, stem=True)
    recipe = rule.recipe(sheet, work, rule.Wish(), card)
    kinds = {p.kind for p in recipe.parts if isinstance(p, StakePost) and sheet_has(sheet, p)}
    assert kinds == {kind}
    found = judge(Study.of(compose(recipe)), SETTLED)
    assert {f.grade for f in found} == {Grade.CLEAR}
    assert any(f.check == "load path" for f in found)


def sheet_has(sheet: Sheet, one: StakePost) -> bool:
    return any(arbor.name == one.under for arbor in sheet.arbors)


def test_a_holder_that_presses_nothing_loads_no_solver(tmp_path: Any) -> None:
    """A plate's solver takes seconds to import on a slow machine."""
    words = ["make", "round", "--diameter", "26.0", "--height", "4.6", "--no-papers",
             "--out", str(tmp_path / "pack")]  # fmt: skip
    script = (
        "import sys\nfrom nests.faces.cli import main\n"
        f"try:\n    main({words!r})\nexcept SystemExit as end:\n    assert not end.code\n"
        "print([m for m in ('nests.load_path.paths', 'nests.mechanics.plate',"
        " 'nests.mechanics.contact', 'scipy.optimize')"
        " if m in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip().splitlines()[-1] == "[]"
