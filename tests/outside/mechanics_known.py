"""Formulas and cases that tests hold the mechanics against, and nothing else needs."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from nests.mechanics.carried import CarriedPlate, PressedPlate
from nests.mechanics.column import Section
from nests.mechanics.contact import Contact, solve_contact
from nests.mechanics.jewel import (
    JewelLoadPath,
    JewelPost,
    JewelSpread,
    PressedJewel,
    pressed_jewel,
)
from nests.mechanics.plate import CIRCLE_POINTS, FactoredPlate, Held, Load, Plate, Region, circle
from nests.mechanics.press_fit import PressFit
from nests.mechanics.rests import SupportPolygon, tipping_force
from nests.mechanics.tolerance import Spread

Floats = NDArray[np.float64]


def draws(spread: Spread, random: np.random.Generator, count: int) -> Floats:
    """`count` independent draws of a spread."""
    if spread.law == "uniform":
        return spread.centre + spread.half_width * random.uniform(-1.0, 1.0, count)
    return spread.centre + spread.deviation * random.standard_normal(count)


def switch_slenderness(modulus: float, yield_strength: float) -> float:
    """Slenderness K L / k above which Euler's load counts and below which Johnson's does.

    There both give half the yield strength S: √(2 π² E / S).
    """
    return math.pi * math.sqrt(2 * modulus / yield_strength)


def jewel_load_path(
    carried: CarriedPlate,
    place: ArrayLike,
    press: float,
    push_out: float,
    post: JewelPost | None = None,
) -> JewelLoadPath:
    """Where a press of `press` N on the jewel at `place` goes (see `pressed_jewel`)."""
    return pressed_jewel(carried, place, push_out).path(press, post)


def jewel_spread_sampled(
    jewel: PressedJewel,
    press: float,
    stiffness: float,
    gap: Spread,
    others: Mapping[str, Spread],
    *,
    allowed_share: float = 1.0,
    allowed_slide: float = 0.0,
    samples: int = 1000,
    seed: int = 0,
) -> JewelSpread:
    """Spread if the other supports are uncertain too: seeded Monte Carlo.

    `others` gives for a label the spread of what is added to the gaps of all supports with that
    label, one draw for all of them together. The worst cases are those among the samples.
    """
    random = np.random.default_rng(seed)
    labels = np.array(jewel.carried.supports.labels)
    gaps = np.tile(jewel.carried.supports.gaps, (samples, 1))
    for label, spread in others.items():
        gaps[:, labels == label] += draws(spread, random, samples)[:, None]
    paths = jewel.paths(press, draws(gap, random, samples), stiffness, gaps)
    force, slide = np.abs(paths.fit_force), np.abs(paths.slide)
    return JewelSpread(
        float(force.max()),
        float(slide.max()),
        float((slide > 0).mean()),
        float((force > allowed_share * jewel.push_out).mean()),
        float((slide > allowed_slide).mean()),
        samples,
    )


def round_plate(
    diameter: float,
    thickness: float,
    modulus: float,
    poisson: float,
    *,
    regions: tuple[Region, ...] = (),
    bore: float = 0.0,
    rim: Held = "free",
    hole_rim: Held = "free",
    edge_length: float | None = None,
) -> Plate:
    """Round plate about the origin, optionally with a central `bore` (diameter, mm)."""
    return Plate(
        circle(diameter / 2, CIRCLE_POINTS),
        thickness,
        modulus,
        poisson,
        holes=(circle(bore / 2, CIRCLE_POINTS),) if bore > 0 else (),
        regions=regions,
        rim=rim,
        hole_rim=hole_rim,
        edge_length=edge_length,
    )


def rim_tipping_force(
    polygon: SupportPolygon,
    weight: float,
    centre: ArrayLike,
    rim_radius: float,
    rim_centre: ArrayLike = (0.0, 0.0),
) -> float:
    """Least downward force (N) anywhere on a round rim that tips the body; inf if none does.

    The worst place over each side is where the rim reaches farthest beyond it.
    """
    middle = np.asarray(rim_centre, dtype=np.float64)
    return tipping_force(polygon, weight, centre, middle + rim_radius * polygon.normals)


def rigid_contact(
    supports: ArrayLike,
    compliances: ArrayLike,
    gaps: ArrayLike,
    forces: ArrayLike,
    places: ArrayLike,
) -> Contact:
    """Rigid body on springs that only push.

    `supports` (n, 2) with `compliances` (n,) mm/N, all positive, and `gaps` (n,) mm; downward
    `forces` (k,) N at `places` (k, 2). The rigid movements are sinking and the slopes along x and
    y. Raises ValueError for a rigid support: under a rigid body its share is undetermined.
    """
    spring = np.asarray(compliances, dtype=np.float64)
    if (spring <= 0).any():
        raise ValueError("a rigid body needs supports with some compliance")
    pressing = np.asarray(forces, dtype=np.float64)
    return solve_contact(
        np.diag(spring),
        _rigid_modes(supports),
        np.asarray(gaps, dtype=np.float64),
        _rigid_modes(places).T @ pressing,
    )


def _rigid_modes(places: ArrayLike) -> Floats:
    points = np.atleast_2d(np.asarray(places, dtype=np.float64))
    return np.column_stack([np.ones(len(points)), points])


def beam_contact(
    supports: ArrayLike,
    gaps: ArrayLike,
    forces: ArrayLike,
    places: ArrayLike,
    stiffness: float,
    compliances: ArrayLike | float = 0.0,
) -> Contact:
    """Uniform beam of bending `stiffness` E·I (N·mm²) on supports that only push.

    All places are distances along the beam, mm. `supports` (n,), `gaps` (n,), `compliances` (n,)
    or one for all (0 for rigid); downward `forces` (k,) at `places` (k,).
    """
    at, acting = (np.asarray(x, dtype=np.float64) for x in (supports, places))
    pressing = np.asarray(forces, dtype=np.float64)
    spring = np.broadcast_to(np.asarray(compliances, dtype=np.float64), at.shape)
    modes, load_modes = (np.column_stack([np.ones_like(x), x]) for x in (at, acting))
    bent = beam_compliance(at, acting, stiffness) @ pressing
    return solve_contact(
        beam_compliance(at, at, stiffness) + np.diag(spring),
        modes,
        np.asarray(gaps, dtype=np.float64) - bent,
        load_modes.T @ pressing,
    )


def beam_compliance(at: ArrayLike, of: ArrayLike, stiffness: float) -> Floats:
    """Deflection (n, m) mm/N of an endless beam: |x - y|³/(12 E I), up to rigid movements.

    It is the fundamental solution of E I w'''' = f. For forces in balance it gives the bending of
    any free beam that reaches past all of them, because the rest of the beam is then unstressed.
    """
    apart = np.subtract.outer(np.asarray(at, np.float64), np.asarray(of, np.float64))
    return np.asarray(np.abs(apart) ** 3 / (12 * stiffness))


def gyration(section: Section) -> float:
    """Radius of gyration, mm."""
    return math.sqrt(section.second_moment / section.area)


def hoop_stress(fit: PressFit) -> float:
    """Tensile hoop stress (MPa) in the ring at its bore (Lamé)."""
    bore2, outer2 = fit.bore**2, fit.outer**2
    return fit.pressure * (outer2 + bore2) / (outer2 - bore2)


def collapse_pressure(fit: PressFit) -> float:
    """Pressure (MPa) at which the whole ring flows, after Tresca: no fit holds more.

    S ln(D/d), and in a wide ring never more than S, its yield strength (plane stress).
    """
    return fit.yield_strength * min(math.log(fit.outer / fit.bore), 1.0)


def push_out_force_most(fit: PressFit) -> float:
    """Axial force (N) that the fit can at most hold, if it works up to collapse."""
    pressure = min(fit.elastic_pressure, collapse_pressure(fit))
    return fit.friction * pressure * math.pi * fit.bore * fit.length


def reaction_of(result: PressedPlate, label: str) -> float:
    """Sum of the reactions (N) of all supports with that label."""
    chosen = np.array([each == label for each in result.carried.supports.labels], dtype=bool)
    return float(result.contact.reaction[chosen].sum())


def ring_load(
    factored: FactoredPlate, radius: float, force: float, centre: ArrayLike = (0.0, 0.0)
) -> Load:
    """`force` (N) in all, spread evenly over a circle."""
    points = np.asarray(centre) + circle(radius, CIRCLE_POINTS)
    flat = np.column_stack((np.ones(len(points)), points))
    return Load(force * factored.sampling(points).mean(axis=1), force * flat.mean(axis=0))
