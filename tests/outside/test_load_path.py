"""The load path through the whole check, sheet to recipe to finding, against closed forms.

[T] S. Timoshenko, S. Woinowsky-Krieger, *Theory of Plates and Shells*, 2nd ed., 1959: simply
supported round plate, load in the middle (3+ν)/(16π(1+ν)) P a²/D; off the middle Michell's clamped
plate and the series that frees its edge. Superposition and statics for the rest; Lamé's thick
cylinder for the jewel. The ledge is 0.2 mm wide, so the plate stands 0.1 mm over its support all
round; that takes 0.33 % off the deflection of its middle.
"""

from __future__ import annotations

import math
import time
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from nests.checks.bench import load_path, post
from nests.finding import Finding, Grade
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Arbor, Jewel, PlateStock, Recess, Rest, Sheet
from nests.given.zones import Disc, Polygon, Round
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.load_path import paths
from nests.load_path.paths import PressPath
from nests.load_path.supports import props
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.parts.swing_tab import SwingTab
from nests.places import Place, Side, at_hour
from nests.study import Study
from tests.outside.mechanics_known import draws

POISSON, MODULUS, RADIUS = 0.3, 97_000.0, 12.9  # of the middle of a ledge of 0.2 mm under 26 mm
HARD = PrinterCard(modulus=20_000.0, layer=0.005, scatter=0.0)
"""A card whose ledge hardly gives, and whose layers round nothing that is drawn here."""
SEAT = RingSeat(ledge=0.2, corner_relief=0.0)
PRESS = 20.0


def jewel(at: Place, push_out: float | None = 500.0, name: str = "pressed", **more: Any) -> Arbor:
    about: dict[str, Any] = {"diameter": 1.6, "height": 1.0, "push_out_force": push_out, **more}
    return Arbor(name=name, at=at, jewels=(Jewel(side=Side.BRIDGE, **about),))


def rest(name: str, at: Place, side: Side = Side.BRIDGE) -> Rest:
    return Rest(name=name, side=side, height=1.0, zone=Disc(centre=at, diameter=3.0))


def recipe(
    *parts: Part, thickness: float | None = 0.8, force: float = PRESS, up: Side = Side.DIAL,
    card: PrinterCard = HARD, stock: dict[str, Any] | None = None, **sheet: Any,
) -> Recipe:  # fmt: skip
    about = PlateStock(thickness=thickness, modulus=MODULUS, poisson=POISSON, **(stock or {}))
    workpiece = Sheet(
        name="disc", outline=Round(diameter=26.0), rim=2.0, dial_height=1.5, bridge_height=1.5,
        **{"bridges": about, "uncertainty": 0.0, **sheet},
    )  # fmt: skip
    return Recipe(
        name="pressing", workpiece=workpiece, printer=card, body=Body(under=3.0, depth=1.5),
        operation=Operation(
            name="pressing", side_up=up, presses=(Press(arbor="pressed", force=force),)
        ),
        parts=parts,
    )  # fmt: skip


def found(made: Recipe) -> Finding:
    (finding,) = load_path.check(Study.of(compose(made)))
    return finding


def path(made: Recipe) -> PressPath:
    (one,) = Study.of(compose(made)).press_paths
    return one


def per_newton(r: float, thickness: float) -> float:
    """[T] deflection under a load at r, per newton, of a simply supported plate with its rim."""
    s, m = r / RADIUS, np.arange(400)
    series = np.where(m == 0, 1.0, 2.0) * s ** (2.0 * m) / (4 * m + 2 + 2 * POISSON)
    unit = (1 - s**2) ** 2 / (4 * math.pi) * (0.25 + series.sum())
    rigidity = MODULUS * thickness**3 / (12 * (1 - POISSON**2))
    # the rim turns with the edge: w' = A r + B/r with no moment at its outer edge
    b_over_a = (1 + POISSON) / (1 - POISSON) * 13.0**2
    turn = RADIUS + b_over_a / RADIUS
    moment = rigidity * ((1 - POISSON) * b_over_a / RADIUS**2 - (1 + POISSON))
    edge = (RADIUS**2 - r**2) / (4 * math.pi * rigidity * RADIUS * (1 + POISSON))
    held = edge / (turn / moment + RADIUS / (rigidity * (1 + POISSON)))
    less = held * (RADIUS**2 - r**2) / (2 * rigidity * (1 + POISSON))
    return float(unit) * RADIUS**2 / rigidity - less


def stiffness(made: Recipe, under: str = "pressed") -> float:
    (part,) = (p for p in made.parts if isinstance(p, StakePost) and p.under == under)
    return part.contacts(made.site())[0].stiffness


@pytest.mark.parametrize("gap", [-0.05, -0.01, 0.0, 0.01, 0.02, 0.05])
@pytest.mark.parametrize("r", [0.0, 4.0])
@pytest.mark.parametrize("thickness", [0.4, 0.8])
def test_elastic_post_with_gap(gap: float, r: float, thickness: float) -> None:
    """R = max(0, (P w - g)/(w + 1/k)), superposition; a proud post takes all there is."""
    under = StakePost(under="pressed", tip=1.2, shank=1.6, short=gap)
    made = recipe(SEAT, under, thickness=thickness, arbors=(jewel(Place(r, 0.0)),))
    w = per_newton(r, thickness)
    wanted = min(PRESS, max(0.0, (PRESS * w - gap) / (w + 1 / stiffness(made))))
    assert path(made).path.post == pytest.approx(wanted, rel=1e-2, abs=1e-9)
    assert found(made).grade is (Grade.MEND if gap == -0.05 else Grade.CLEAR)


@pytest.mark.parametrize(("push_out", "gap"), [(12.0, 0.05), (12.0, 0.1), (15.0, 0.05)])
def test_slide_until_the_post_catches_the_jewel(push_out: float, gap: float) -> None:
    """Superposition: the fit passes on what it can, and the post catches the rest after
    g + (P - F)/k - F w."""
    under = StakePost(under="pressed", tip=1.2, shank=1.6, short=gap)
    made = recipe(SEAT, under, arbors=(jewel(Place(0.0, 0.0), push_out),))
    slide = gap + (PRESS - push_out) / stiffness(made) - push_out * per_newton(0.0, 0.8)
    finding = found(made)
    assert finding.value == pytest.approx(1000 * slide, rel=1e-2)
    assert finding.limit == pytest.approx(10.0)
    assert (finding.unit, finding.grade) == ("µm", Grade.STOP)
    assert f"{push_out:.1f} N run through" in finding.says
    assert f"its post takes {PRESS - push_out:.1f} N" in finding.says


def test_share_on_a_rigid_post_under_the_middle_of_a_held_rim() -> None:
    """Superposition [T]: a load at a quarter of the radius, ν = 0.3, sends .869 of itself into a
    rigid post in the middle; into one that gives, w(a/4)/(w(0) + 1/k)."""
    tabs = [SwingTab(at=h / 2, over=0.2, width=2.0) for h in range(24)]
    middle = StakePost(under="middle", tip=3.0, shank=6.0)
    made = recipe(
        SEAT, middle, *tabs, thickness=0.4, arbors=(jewel(Place(RADIUS / 4, 0.0)),),
        rests=(rest("middle", Place(0.0, 0.0)),),
    )  # fmt: skip
    s, w0 = 0.25, per_newton(0.0, 0.4)
    bent = (3 + POISSON) / (1 + POISSON) * (1 - s**2) + 2 * s**2 * math.log(s)
    ratio = bent * (1 + POISSON) / (3 + POISSON)
    assert ratio == pytest.approx(0.869, abs=5e-4)
    share = path(made).path.others["stake post under middle"] / PRESS
    assert share == pytest.approx(ratio * w0 / (w0 + 1 / stiffness(made, "middle")), abs=5e-3)
    # where nothing holds the far rim down, the moment about the post comes from the ledge alone
    bare = path(replace(made, parts=(SEAT, middle))).path
    assert bare.others["ring seat"] / PRESS >= 0.25


THREE = {"A": at_hour(1.0, 8.0), "B": at_hour(5.0, 8.0), "pressed": at_hour(9.0, 8.0)}
"""Two rests and a jewel round the middle."""


def on_three(short: float = 0.0, **more: Any) -> Recipe:
    """Carried on posts, the pressed jewel over one of them; the ledge lies 0.5 mm lower."""
    return recipe(
        replace(SEAT, drop=0.5),
        *(StakePost(under=n, tip=1.2, shank=2.0, short=short * (n == "pressed")) for n in THREE),
        rests=tuple(rest(n, THREE[n]) for n in ("A", "B")),
        **{"arbors": (jewel(THREE["pressed"], 1.0),), **more},
    )


@pytest.mark.parametrize("thickness", [0.1, 0.8, 2.5])
@pytest.mark.parametrize("short", [-0.05, 0.0, 0.05])
def test_carried_on_posts_statics_send_all_into_the_post(thickness: float, short: float) -> None:
    """Moments about the line through the two other posts leave them nothing, whatever gives."""
    one = path(on_three(short, thickness=thickness)).path
    assert one.post == pytest.approx(PRESS, rel=1e-9)
    assert one.fit_force == pytest.approx(0.0, abs=1e-7)
    assert one.slide == 0.0


def test_carried_on_posts_reactions_are_barycentric() -> None:
    """Statics of three supports: the load's barycentric coordinates."""
    share = np.array([0.2, 0.5, 0.3])
    corners = np.array([(p.x, p.y) for p in THREE.values()])
    at = Place(*(float(x) for x in share @ corners))
    made = on_three(
        arbors=(jewel(at), replace(jewel(THREE["pressed"]), name="corner")),
    )
    parts = tuple(
        replace(p, under="corner") if isinstance(p, StakePost) and p.under == "pressed" else p
        for p in made.parts
    )
    one = path(replace(made, parts=parts)).path
    got = [one.others[f"stake post under {n}"] for n in ("A", "B", "corner")]
    assert got == pytest.approx(PRESS * share, rel=1e-6)


def test_unknown_thickness_says_what_statics_alone_can() -> None:
    finding = found(on_three(thickness=None))
    assert finding.grade is Grade.UNKNOWN
    assert "statics alone sends all 20 N into stake post under pressed" in finding.says
    assert "bridges.thickness" in finding.remedy
    under = StakePost(under="pressed", tip=1.2, shank=1.6)
    loose = found(recipe(SEAT, under, thickness=None, arbors=(jewel(Place(0.0, 0.0)),)))
    assert loose.grade is Grade.UNKNOWN
    assert "between nothing and all of 20 N" in loose.says
    assert "all 20 N go through" in found(
        recipe(SEAT, thickness=None, arbors=(jewel(Place(0.0, 0.0)),))
    ).says  # fmt: skip


def test_reactions_balance_force_and_moments() -> None:
    """Statics: force and both moments to 1e-9, on soft posts of uneven heights."""
    at = at_hour(7.3, 3.7)
    rests = {f"rest {k}": at_hour(4.0 * k + 0.6, 5.0 + k) for k in range(3)}
    made = recipe(
        RingSeat(), StakePost(under="pressed", tip=1.2, shank=1.6, short=0.012),
        *(StakePost(under=n, tip=1.2, shank=1.4, short=0.01 * k - 0.01)
          for k, n in enumerate(rests)),
        card=PrinterCard(), thickness=0.6, arbors=(jewel(at),),
        rests=tuple(rest(n, p) for n, p in rests.items()),
    )  # fmt: skip
    one = path(made)
    assert one.pressed is not None
    assert one.known.post is not None
    supports = one.pressed.carried.supports
    many = one.pressed.paths(
        PRESS, np.array([one.known.post.gap]), one.known.post.stiffness, supports.gaps[None]
    )
    forces = np.append(many.others[0], many.post[0])
    places = np.vstack([supports.places, one.pressed.place])
    assert forces.sum() == pytest.approx(PRESS, rel=1e-9)
    error = forces @ places - PRESS * np.array([at.x, at.y])
    assert np.abs(error).max() <= 1e-9 * PRESS * RADIUS
    assert (forces >= 0).all()


def test_turned_over_the_load_path_is_the_same() -> None:
    """A movement with alike jewels on either side, recessed off its axis: only the view mirrors."""
    hollow = Recess(zone=Disc(centre=Place(5.0, 3.0), diameter=6.0), thickness=0.3)
    stock = PlateStock(thickness=0.8, modulus=MODULUS, poisson=POISSON, recesses=(hollow,))
    at, off = Place(4.0, 2.0), Place(-6.0, 3.5)
    both = tuple(Jewel(side=s, diameter=1.6, height=1.0, push_out_force=13.0) for s in Side)
    parts = (SEAT, StakePost(under="pressed", tip=1.2, shank=1.6, short=0.02))
    results = []
    for up in Side:
        # the stock of the side that looks up is not known, so only one plate is asked
        one = {"plate": stock} if up is Side.BRIDGE else {"bridges": stock}
        none = {"bridges": PlateStock()} if up is Side.BRIDGE else {"plate": PlateStock()}
        made = recipe(
            *parts, StakePost(under="foot", tip=1.2, shank=1.6), up=up,
            arbors=(Arbor(name="pressed", at=at, jewels=both),),
            rests=(rest("foot", off, up.other),), **one, **none,
        )  # fmt: skip
        here = props(made.site(), [(p.label(), p) for p in made.parts])
        (own,) = (p for p in here if p.touches == "pressed")
        assert own.at == pytest.approx((at.x if up is Side.DIAL else -at.x, at.y))
        results.append(path(made).path)
    first, second = results
    assert second.post == pytest.approx(first.post, rel=2e-3)
    assert second.deflection == pytest.approx(first.deflection, rel=2e-3)
    assert second.others["stake post under foot"] == pytest.approx(
        first.others["stake post under foot"], rel=1e-2
    )


def lame(interference: float, bore: float, outer: float, length: float) -> float:
    """Push-out force of a solid ruby in brass: Lamé, any machine-design text; µ from memory."""
    ring = ((outer**2 + bore**2) / (outer**2 - bore**2) + POISSON) / MODULUS
    ruby = (1 - 0.22) / 380_000.0  # alumina: Callister, App. B; ν from memory
    pressure = interference / (bore * (ring + ruby))
    # first yield of the ring at 124 MPa, von Mises with hoop p (D² + d²)/(D² - d²) and radial -p
    hoop = (outer**2 + bore**2) / (outer**2 - bore**2)
    capped = min(pressure, 124.0 / math.sqrt(hoop**2 + hoop + 1))
    return 0.15 * capped * math.pi * bore * length


@pytest.mark.parametrize("interference", [0.0005, 0.001, 0.008])
@pytest.mark.parametrize("r", [0.0, 9.0])
def test_push_out_force_of_the_sheet_s_interference(interference: float, r: float) -> None:
    fitted = jewel(Place(r, 0.0), None, interference=interference, thickness=0.3)
    made = recipe(SEAT, StakePost(under="pressed", tip=1.2, shank=1.6), arbors=(fitted,))
    wanted = lame(interference, 1.6, 2 * (13.0 - r), 0.3)
    assert path(made).known.push_out.force == pytest.approx(wanted, rel=5e-3)
    assert f"slides from {wanted:.1f} N (Lamé" in found(made).says


def test_push_out_measured_or_from_memory_says_so() -> None:
    measured = recipe(SEAT, arbors=(jewel(Place(0.0, 0.0), 14.0),))
    assert "slides from 14.0 N (measured" in found(measured).says
    guessed = recipe(SEAT, arbors=(jewel(Place(0.0, 0.0), None),))
    assert "from memory" in found(guessed).says
    assert "push_out_force" in path(guessed).known.push_out.remedy


def test_exact_odds_agree_with_sampling() -> None:
    """Seeded Monte Carlo over print scatter and measuring, each gap solved by itself."""
    card = replace(HARD, scatter=0.03)
    under = StakePost(under="pressed", tip=1.2, shank=1.6, short=0.02)
    made = recipe(SEAT, under, card=card, uncertainty=0.02, arbors=(jewel(Place(4.0, 0.0), 12.0),))
    one = path(made)
    assert one.pressed is not None
    assert one.known.post is not None
    assert one.known.post.half_width == pytest.approx(2 * 0.03 + 0.02)
    random, count = np.random.default_rng(11), 3000
    gaps = one.known.post.gap + sum(draws(s, random, count) for s in one.known.post.spread)
    many = one.pressed.paths(
        PRESS, gaps, one.known.post.stiffness, one.pressed.carried.supports.gaps[None]
    )
    sampled = float((np.abs(many.slide) > 0.01).mean())
    assert 0.05 < one.chance < 0.95
    assert sampled == pytest.approx(
        one.chance, abs=4 * math.sqrt(one.chance * (1 - one.chance) / count)
    )
    # and by the law of the gap itself, two even laws, so a trapezium; threshold by superposition
    w, k = per_newton(4.0, 0.8), one.known.post.stiffness
    over = 0.01 + 12.0 * w - 8.0 / k - 0.02
    wide, narrow = 0.06, 0.02
    assert abs(over) < wide - narrow  # where the density is flat
    odds = 0.5 - over / (2 * wide)
    assert one.chance == pytest.approx(odds, abs=5e-3)


def test_bridges_on_the_main_plate_are_stiffer_and_that_counts_in_the_worst_case() -> None:
    """One plate of both thicknesses, of one material: w falls by (1 + t₂/t₁)³."""
    under = StakePost(under="pressed", tip=1.2, shank=1.6, short=0.02)
    about = {"arbors": (jewel(Place(0.0, 0.0), 12.0),)}
    alone = path(recipe(SEAT, under, thickness=0.8, **about))
    both = path(
        recipe(SEAT, under, thickness=0.8, **about,
               plate=PlateStock(thickness=1.2, modulus=MODULUS, poisson=POISSON))
    )  # fmt: skip
    assert alone.stiff is None
    assert both.path.slide == pytest.approx(alone.path.slide)
    assert both.stiff is not None
    made = recipe(SEAT, under, thickness=0.8, **about)
    supports = props(made.site(), [(p.label(), p) for p in made.parts])
    ledge = 12.0 / sum(p.stiffness for p in supports if p.ledge is not None)
    bends = 12.0 * per_newton(0.0, 0.8) / (1 + 1.5) ** 3
    assert both.stiff.path.deflection == pytest.approx(bends + ledge, rel=1e-2)
    assert both.worst_slide == pytest.approx(both.stiff.path.slide)
    assert both.worst_slide > alone.worst_slide


def test_one_load_case_is_quick_after_the_first() -> None:
    """Another press, or another gap under the jewel, on a plate that has been pressed before."""
    under = StakePost(under="pressed", tip=1.2, shank=1.6)
    about = {"arbors": (jewel(at_hour(9.0, 4.0), 12.0),), "plate": PlateStock(thickness=1.2)}
    path(recipe(SEAT, under, **about))
    times = []
    for k in range(1, 5):
        for short, force in ((0.0, PRESS + k), (0.002 * k, PRESS)):
            site, parts = recipe(SEAT, under, **about).site(), (SEAT, replace(under, short=short))
            supports = props(site, [(part.label(), part) for part in parts])
            start = time.process_time()
            (found,) = paths.press_paths(site, supports, {"pressed": force})
            times.append(time.process_time() - start)
            assert found.stiff is not None
    assert max(min(times[::2]), min(times[1::2])) < 0.050


def test_a_tipping_plate_is_a_stop() -> None:
    outside = recipe(
        replace(SEAT, drop=1.0), *(StakePost(under=n, tip=1.2, shank=2.0) for n in ("A", "B", "C")),
        rests=tuple(rest(n, at_hour(h, 4.0)) for n, h in (("A", 0.0), ("B", 4.0), ("C", 8.0))),
        arbors=(jewel(at_hour(2.0, 8.0)),),
    )  # fmt: skip
    unledged = replace(outside, parts=outside.parts[1:])
    finding = found(unledged)
    assert finding.grade is Grade.STOP
    assert "tips" in finding.says


def test_without_a_solution_bounds_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> PressPath:
        raise ArithmeticError("not settled")

    monkeypatch.setattr(paths, "_solved", fails)
    under = StakePost(under="pressed", tip=1.2, shank=1.6, short=0.02)
    made = recipe(SEAT, under, arbors=(jewel(Place(0.0, 0.0), 12.0),))
    finding = found(made)
    assert finding.grade is Grade.UNKNOWN
    assert "at most 12.0 N" in finding.says
    assert "bounds" in finding.says
    assert finding.value == pytest.approx(1000 * (0.02 + 8.0 / stiffness(made)), rel=1e-3)
    held = found(recipe(SEAT, under, arbors=(jewel(Place(0.0, 0.0), 30.0),)))
    assert held.grade is Grade.CLEAR  # the fit holds all of it


def test_hole_where_the_jewel_should_sit_is_unknown() -> None:
    corners = tuple(at_hour(h, 3.0) for h in (0.0, 3.0, 6.0, 9.0))
    hole = Recess(zone=Polygon(corners=corners), thickness=0.0)
    made = recipe(SEAT, stock={"recesses": (hole,)}, arbors=(jewel(Place(0.0, 0.0)),))
    assert found(made).grade is Grade.UNKNOWN


def test_post_stress_and_buckling() -> None:
    """σ = F/A; Johnson's parabola, free at its top (Shigley), on a foot that turns; limits from the
    printer card. By the parabola it is crushed, which is what is said."""
    under = StakePost(under="pressed", tip=1.2, shank=1.2)
    made = recipe(SEAT, under, card=PrinterCard(), arbors=(jewel(Place(0.0, 0.0)),), force=100.0)
    first, *_ = post.check(Study.of(compose(made)))
    area = math.pi / 4 * 1.2**2
    limit = 1660.0 * 0.015
    assert f"{100.0 / area:.1f} MPa in the resin" in first.says
    euler = under.standing(made.site()).buckling_load
    squash = area * limit
    assert squash / 2 < euler < squash
    holds, half = squash * (1 - squash / (4 * euler)), euler / 2
    assert first.grade is Grade.MEND
    assert f"it would be crushed at {holds:.0f} N" in first.says
    assert "would buckle" not in first.says
    # by half of Euler's load, and by all of a strength that is for again and again
    assert first.value / first.limit == pytest.approx(100.0 / half, rel=1e-3)
