"""Load path of a pressed jewel against closed forms on a simply supported round plate.

Superposition, with w the deflection per newton under the jewel: while the fit holds, the post takes
(F w - g)/(w + 1/k); once it slips at F_push, the post takes the rest and the jewel has slid
g + (F - F_push)/k - F_push w.
"""

import math

import numpy as np
import pytest

from nests.mechanics.carried import carry, posts, seat
from nests.mechanics.jewel import JewelPost, jewel_spread, pressed_jewel
from nests.mechanics.plate import circle
from nests.mechanics.tolerance import Spread
from tests.outside.mechanics_known import jewel_load_path, jewel_spread_sampled, round_plate

RADIUS, PRESS, JEWEL = 13.0, 30.0, (4.0, 0.0)
POISSON = 0.31  # brass C36000, property page
STIFFNESS = 1152.0  # printed post, diameter 2, 6 mm tall, E 2200 MPa


def carried(thickness=0.8, **more):
    plate = round_plate(2 * RADIUS, thickness, 97000.0, POISSON)
    return carry(
        plate,
        seat(circle(RADIUS, 360), 48) + posts(**more) if more else seat(circle(RADIUS, 360), 48),
    )


@pytest.fixture(scope="module")
def bridge():
    return carried()


def per_newton(body):
    """w: Michell's clamped plate and the series that frees its edge (see test_mechanics_plate)."""
    r, m = JEWEL[0] / RADIUS, np.arange(400)
    series = np.where(m == 0, 1.0, 2.0) * r ** (2.0 * m) / (4 * m + 2 + 2 * POISSON)
    unit = (1 - r**2) ** 2 / (4 * math.pi) * (0.25 + series.sum())
    d = body.factored.plate.rigidity(body.factored.plate.thickness)
    return unit * RADIUS**2 / d


@pytest.mark.parametrize("gap", [-0.01, 0.0, 0.01, 0.02, 0.03, 0.05])
@pytest.mark.parametrize("push_out", [12.0, 20.0, 100.0])
def test_load_path(bridge, gap, push_out):
    w = per_newton(bridge)
    post = max(0.0, (PRESS * w - gap) / (w + 1 / STIFFNESS))
    fit, slide = PRESS - post, 0.0
    if fit > push_out:
        fit, post = push_out, PRESS - push_out
        slide = gap + post / STIFFNESS - push_out * w
    path = jewel_load_path(bridge, JEWEL, PRESS, push_out, JewelPost(gap, STIFFNESS))
    assert path.fit_force == pytest.approx(fit, rel=5e-3)
    assert path.post == pytest.approx(post, rel=5e-3)
    assert path.others["seat"] == pytest.approx(path.fit_force, rel=1e-9)
    assert path.deflection == pytest.approx(fit * w, rel=5e-3)
    assert path.slide == pytest.approx(slide, abs=2e-4)
    assert path.slides == (slide > 0)
    assert path.share == pytest.approx(fit / push_out, rel=5e-3)


def test_rigid_post_slide_is_gap_less_elastic_deflection(bridge):
    path = jewel_load_path(bridge, JEWEL, PRESS, 20.0, JewelPost(0.05))
    assert path.slide == pytest.approx(0.05 - path.deflection, abs=1e-12)


def test_without_a_post_the_jewel_holds_or_is_pushed_out(bridge):
    assert jewel_load_path(bridge, JEWEL, PRESS, 31.0).slide == 0.0
    lost = jewel_load_path(bridge, JEWEL, PRESS, 29.0)
    assert lost.slide == math.inf
    assert lost.slides
    assert lost.fit_force == 29.0


@pytest.mark.parametrize(
    ("thickness", "gap", "force"),
    # an earlier trial of this model (no outside source): brass, diameter 26, 30 N at 4 mm
    [(0.8, 0.0, 19), (0.8, 0.010, 15), (0.8, 0.050, 0), (2.0, 0.0, 3), (2.0, 0.010, 0)],
)
def test_printed_post_that_touches_often_protects_little(thickness, gap, force):
    path = jewel_load_path(carried(thickness), JEWEL, PRESS, 100.0, JewelPost(gap, STIFFNESS))
    assert path.post == pytest.approx(force, abs=0.5)


def test_proud_post_under_a_clipped_plate_pushes_the_jewel_up():
    """Clips hold the plate on its seat: post and plate are two springs in series, then Coulomb."""
    plate = round_plate(2 * RADIUS, 0.8, 97000.0, POISSON)
    ring = circle(RADIUS, 360)
    above = posts(ring[::8], label="clip", above=True)
    body = carry(plate, seat(ring, 45, 1e9) + above)
    w = per_newton(body)
    held = jewel_load_path(body, JEWEL, 0.0, 100.0, JewelPost(-0.05, STIFFNESS))
    assert held.fit_force == pytest.approx(-0.05 / (w + 1 / STIFFNESS), rel=5e-3)
    moved = jewel_load_path(body, JEWEL, 0.0, 5.0, JewelPost(-0.05, STIFFNESS))
    assert moved.fit_force == -5.0
    assert moved.slide == pytest.approx(-0.05 + 5 / STIFFNESS + 5 * w, rel=2e-2)
    chance = jewel_spread(
        pressed_jewel(body, JEWEL, 5.0), 0.0, STIFFNESS, Spread(-0.02, 0.04), allowed_slide=0.01
    )
    threshold = -5 * w - 5 / STIFFNESS
    assert chance.slides == pytest.approx((threshold + 0.06) / 0.08, abs=5e-3)
    assert chance.over_slide == pytest.approx((threshold - 0.01 + 0.06) / 0.08, abs=5e-3)


def test_gap_for_a_force_reads_the_load_path_backwards(bridge):
    jewel = pressed_jewel(bridge, JEWEL, 20.0)
    for force in (5.0, 12.0, 19.9):
        gap = jewel.gap_at(PRESS, STIFFNESS, force)
        assert jewel.path(PRESS, JewelPost(gap, STIFFNESS)).fit_force == pytest.approx(force)
    gap = jewel.gap_at(PRESS, STIFFNESS, 20.0, slide=0.012)
    assert jewel.path(PRESS, JewelPost(gap, STIFFNESS)).slide == pytest.approx(0.012)


@pytest.mark.parametrize("law", ["uniform", "normal"])
def test_exact_probabilities_agree_with_sampling(bridge, law):
    jewel = pressed_jewel(bridge, JEWEL, 20.0)
    gap = Spread(0.02, 0.03, law)
    limits = {"allowed_share": 0.8, "allowed_slide": 0.01}
    exact = jewel_spread(jewel, PRESS, STIFFNESS, gap, **limits)
    sampled = jewel_spread_sampled(
        jewel, PRESS, STIFFNESS, gap, {}, samples=20000, seed=4, **limits
    )
    for name in ("slides", "over_share", "over_slide"):
        p = getattr(exact, name)
        assert 0.01 < p < 0.99
        # four standard deviations of a share of 20000 draws
        assert getattr(sampled, name) == pytest.approx(p, abs=4 * math.sqrt(p * (1 - p) / 20000))
    if law == "uniform":
        assert sampled.worst_slide == pytest.approx(exact.worst_slide, rel=1e-2)
        assert sampled.worst_fit_force == pytest.approx(exact.worst_fit_force)


def test_sampling_moves_labelled_supports_together_and_repeats_with_its_seed():
    """Raising the whole seat by h is lowering the jewel's post by h: both spreads are one law."""
    body = carried()
    jewel = pressed_jewel(body, JEWEL, 20.0)
    args = (jewel, PRESS, STIFFNESS)
    both = jewel_spread_sampled(
        *args, Spread(0.02, 0.0), {"seat": Spread(0.0, 0.02)}, allowed_slide=0.005, samples=4000
    )
    alone = jewel_spread(*args, Spread(0.02, 0.02), allowed_slide=0.005)
    assert both.over_slide == pytest.approx(alone.over_slide, abs=0.03)
    assert both == jewel_spread_sampled(
        *args, Spread(0.02, 0.0), {"seat": Spread(0.0, 0.02)}, allowed_slide=0.005, samples=4000
    )


def test_a_plate_that_tips_has_no_load_path():
    plate = round_plate(2 * RADIUS, 0.8, 97000.0, POISSON)
    body = carry(plate, posts(circle(6.0, 3)))
    path = jewel_load_path(body, (-9.0, 0.0), PRESS, 20.0)
    assert path.tips
    assert math.isnan(path.fit_force)
    assert not path.slides
    # a post right under the jewel takes the whole press: lever arms leave the plate nothing
    stood = jewel_load_path(body, (-9.0, 0.0), PRESS, 20.0, JewelPost(0.0, STIFFNESS))
    assert stood.post == pytest.approx(PRESS)
    assert stood.fit_force == pytest.approx(0.0, abs=1e-8)


def test_load_path_from_the_arrays_is_that_of_single_cases(bridge):
    jewel = pressed_jewel(bridge, JEWEL, 18.0)
    gaps = np.linspace(-0.02, 0.08, 23)
    many = jewel.paths(PRESS, gaps, STIFFNESS, bridge.supports.gaps[None])
    for i, gap in enumerate(gaps):
        one = jewel.path(PRESS, JewelPost(gap, STIFFNESS))
        assert many.fit_force[i] == pytest.approx(one.fit_force)
        assert many.slide[i] == pytest.approx(one.slide, abs=1e-12)
    assert (np.diff(many.fit_force) >= -1e-9).all()
    assert (np.diff(many.slide) >= -1e-12).all()
