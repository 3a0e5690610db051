"""Two arbors on one axis, against statics and beams by hand and the bare plate.

A hand's press on the inner arbor goes through its own jewel into the bridge; a post stands under
the outer jewel. Reactions of three posts are barycentric coordinates (statics of a rigid body);
a slender plate with Poisson's ratio 0 is a beam, k = 48 E I / L³ in its middle (Roark's Formulas
for Stress and Strain, 8th ed., table 8.1, case 1e).
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from nests.given.sheet import Arbor, Jewel, PlateStock, Sheet
from nests.given.zones import Corner, Outline, Path, Round
from nests.load_path.passed import OFTEN
from nests.load_path.paths import PressPath, press_paths
from nests.load_path.setting import holds
from nests.load_path.stock import plate_of
from nests.load_path.supports import Prop
from nests.mechanics.carried import carry, posts
from nests.mechanics.tolerance import Spread
from nests.parts.body import bare_site
from nests.places import Place, Side

FORCE = 20.0
RIGID = 1e7
"""N/mm of a support that does not give beside a plate."""
MODULUS = 97_000.0


def jewel(height: float, push_out: float) -> Jewel:
    return Jewel(side=Side.BRIDGE, diameter=1.4, height=height, push_out_force=push_out)


def sheet(
    outline: Outline, at: Place, thick: float, *, inner: float = 60.0, outer: float = 60.0
) -> Sheet:
    """A movement with a centre wheel and sweep seconds through it at a place, and a third wheel on
    the axis; push-out forces in N."""
    return Sheet(
        name="INV COAX",
        outline=outline,
        rim=2.0,
        bridge_height=3.0,
        bridges=PlateStock(thickness=thick, modulus=MODULUS, poisson=0.0),
        arbors=(
            Arbor(name="centre", at=at, carries=("minute hand",), jewels=(jewel(1.0, inner),)),
            Arbor(name="sweep", at=at, carries=("seconds hand",), jewels=(jewel(2.0, outer),)),
            Arbor(name="third", at=Place(0.0, 0.0), jewels=(jewel(1.5, 80.0),)),
        ),
        nothing_fragile=True,
    )


def post(under: str, x: float, y: float, stiffness: float = RIGID, gap: float = 0.0) -> Prop:
    """A post under the jewel of an arbor, set to within nothing."""
    return Prop(f"post under {under}", under, (x, y), gap, stiffness, kind="pin")


def path(work: Sheet, supports: list[Prop], pressed: str) -> PressPath:
    site = bare_site(work, Side.DIAL, 0.01)
    (found,) = press_paths(site, supports, {pressed: FORCE})
    return found


DISC = Round(diameter=30.0)
THREE = [post("sweep", 5.0, 0.0), post("a rest", -5.0, 5.0), post("another", -5.0, -5.0)]
"""Posts at the corners of a triangle about the axis, of which (5, 0) is under the outer jewel."""


def test_a_press_over_a_corner_runs_into_that_post_alone() -> None:
    """Barycentric coordinates of a corner are 1, 0, 0, however the plate bends."""
    found = path(sheet(DISC, Place(5.0, 0.0), 1.0), THREE, "centre")
    assert found.known.post is None
    assert found.known.over is not None
    assert found.known.over.name == "sweep"
    assert found.path.fit_force == pytest.approx(FORCE)
    assert found.path.others["post under sweep"] == pytest.approx(FORCE, abs=1e-6)
    (through,) = found.passed
    assert through.force == pytest.approx(FORCE, abs=1e-6)
    assert through.worst == pytest.approx(FORCE, abs=1e-6)
    assert holds(found)


@pytest.mark.parametrize(
    ("outer", "held"), [(12.0, True), (10.5, True), (9.5, False), (4.0, False)]
)
def test_a_press_on_another_arbor_sends_its_share_through_the_jewel(
    outer: float, held: bool
) -> None:
    """On the axis the shares of (5, 0), (-5, ±5) are 1/2, 1/4, 1/4: 10 N of 20 N. Where the fit
    passes on less, nothing else balances the rest, and nothing stops the jewel."""
    work = sheet(DISC, Place(5.0, 0.0), 2.0, outer=outer)
    found = path(work, THREE, "third")
    through = [each for each in found.passed if each.arbor.name == "sweep"]
    assert found.path.others["post under sweep"] == pytest.approx(FORCE / 2, abs=1e-6)
    assert [each.force for each in through] == [pytest.approx(FORCE / 2, abs=1e-6)]
    assert all(each.slide == (0.0 if held else math.inf) for each in through)
    assert (found.pushed is None) is held
    assert holds(found) is held


def test_the_inner_jewel_slides_where_nothing_is_under_it() -> None:
    """More than its push-out force does not go through the inner fit, and no post catches it."""
    found = path(sheet(DISC, Place(5.0, 0.0), 1.0, inner=15.0), THREE, "centre")
    assert found.path.slide == math.inf
    assert not holds(found)


LONG, WIDE, THICK = 30.0, 2.0, 0.8
BEAM = Path(
    corners=tuple(
        Corner(at=Place(x, y))
        for x, y in (
            (LONG / 2 + 1, -WIDE / 2), (LONG / 2 + 1, WIDE / 2),
            (-LONG / 2 - 1, WIDE / 2), (-LONG / 2 - 1, -WIDE / 2),
        )
    )
)  # fmt: skip
STIFF = 48 * MODULUS * (WIDE * THICK**3 / 12) / LONG**3
"""N/mm of the beam on its ends, in its middle; Roark, table 8.1, case 1e."""


def on_a_beam(outer: float, stiffness: float, gap: float, spread: float = 0.0) -> PressPath:
    """A press on the inner arbor in the middle of a beam on its ends, with a post there."""
    work = sheet(BEAM, Place(0.0, 0.0), THICK, outer=outer)
    work = replace(work, arbors=work.arbors[:2])
    ends = [post(f"end {k}", sense * LONG / 2, y) for k, (sense, y) in
            enumerate(((-1, -0.9), (-1, 0.9), (1, -0.9), (1, 0.9)))]  # fmt: skip
    own = replace(post("sweep", 0.0, 0.0, stiffness, gap), spread=(Spread(0.0, spread),))
    return path(work, [own, *ends], "centre")


@pytest.mark.parametrize("stiffness", [20.0, 300.0, 5000.0])
@pytest.mark.parametrize("gap", [0.0, 0.3])
def test_a_beam_shares_with_the_post(stiffness: float, gap: float) -> None:
    """Two springs at one place, the post after its gap: R = (F/k - g) / (1/k + 1/K)."""
    by_hand = (FORCE / STIFF - gap) / (1 / STIFF + 1 / stiffness)
    (through,) = on_a_beam(60.0, stiffness, gap).passed
    assert through.force == pytest.approx(by_hand, rel=0.01)
    assert through.slide == 0.0


@pytest.mark.parametrize("share", [0.9, 0.5, 0.2])
def test_a_beam_pushes_the_outer_jewel_out(share: float) -> None:
    """The fit passes on H: the beam sinks by (F - H)/k, the post gives g + H/K, and the difference
    is what the jewel is pushed out by."""
    stiffness, gap = 2000.0, 0.05
    carries = (FORCE / STIFF - gap) / (1 / STIFF + 1 / stiffness)
    fit = share * carries
    by_hand = (FORCE - fit) / STIFF - gap - fit / stiffness
    found = on_a_beam(fit, stiffness, gap)
    assert found.pushed is not None
    assert found.pushed.slide == pytest.approx(by_hand, rel=0.01)
    assert not holds(found)


def test_odds_are_those_of_a_post_that_stands_proud() -> None:
    """Even between ± w about its gap: the share of it that lies below the gap from which the jewel
    is pushed out by what may be lost of the endshake."""
    stiffness, gap, fit, wide = 2000.0, 0.05, 19.0, 0.4
    limit = (FORCE - fit) / STIFF - fit / stiffness - 0.01
    assert -wide < limit - gap < wide
    found = on_a_beam(fit, stiffness, gap, wide)
    (through,) = found.passed
    by_hand = (limit - gap + wide) / (2 * wide)
    assert through.chance == pytest.approx(by_hand, abs=0.02)
    assert through.chance > OFTEN


@pytest.mark.parametrize(("outer", "pushed"), [(60.0, False), (6.0, True)])
def test_the_plate_of_the_load_path_is_that_of_the_plates(outer: float, pushed: bool) -> None:
    """A round plate on twelve posts at its edge and one under the outer jewel, as the plate's own
    solver has it: with a spring there, and with the push-out force in its place."""
    at = Place(3.0, 2.0)
    work = sheet(DISC, at, 0.8, outer=outer)
    ring = [(14.0 * math.cos(a), 14.0 * math.sin(a)) for a in (k * math.pi / 6 for k in range(12))]
    edge = [Prop("ledge", "rim", each, 0.0, 4000.0) for each in ring]
    own = post("sweep", at.x, at.y, 3000.0, 0.002)
    found = path(work, [*edge, own], "centre")
    plate = plate_of(work, Side.DIAL)
    round_it = posts(ring, 4000.0)
    middle = posts([(at.x, at.y)], 3000.0, 0.002)
    whole = carry(plate, round_it + middle)
    lies = whole.press(whole.factored.point_load((at.x, at.y), FORCE))
    (through,) = (each for each in found.passed if each.arbor.name == "sweep")
    assert through.force == pytest.approx(float(lies.contact.reaction[-1]), rel=1e-6)
    assert (outer < through.force) is pushed
    if pushed:
        bare = carry(plate, round_it)
        sunk = bare.press(bare.factored.point_load((at.x, at.y), FORCE - outer))
        by_hand = float(sunk.deflection((at.x, at.y))[0]) - 0.002 - outer / 3000.0
        assert through.slide == pytest.approx(by_hand, rel=1e-6)
    else:
        assert through.slide == 0.0
