"""A case of the collection, how it is built, and how the checks are held against it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from manifold3d import Manifold
from planting import Feature, Ground, Place, Point, ground

from nests.checks import judge, names
from nests.finding import Finding, Grade
from nests.given.printer_card import PrinterCard
from nests.study import Study

CARD = PrinterCard()
NEAR = 0.3
"""How far in mm the place of a finding may lie from the planted feature."""
KINDS = (
    "wall",
    "gap",
    "overhang",
    "island",
    "suction",
    "trapped resin",
    "fine detail",
    "foot",
    "peel",
)


@dataclass(frozen=True)
class Case:
    """A solid, the kind of fault planted in it ('' for none), and what that fault implies.

    `build` returns the study and a measure of distance from the planted feature. `known` says
    why a check is known not to find it.
    """

    name: str
    kind: str
    build: Callable[[], tuple[Study, Callable[[Point], float]]]
    implies: frozenset[str] = frozenset()
    slow: bool = False
    known: str = ""


@dataclass(frozen=True)
class Verdict:
    """How the checks did on a case."""

    missed: str
    false: tuple[Finding, ...]


def verdict(case: Case) -> Verdict:
    """Judge a case by all checks.

    A sound case may have neither `stop` nor `mend`. A fault must be found with one of them, all
    of its kind within `NEAR` of it, and no other kind may be a `stop` but what it implies.
    """
    study, distance = case.build()
    bad = [f for f in judge(study, names("printer")) if f.grade in (Grade.MEND, Grade.STOP)]
    if not case.kind:
        return Verdict("", tuple(bad))
    own = [f for f in bad if f.check == case.kind]
    others = [f for f in bad if f.check not in (case.kind, *case.implies)]
    false = [f for f in others if f.grade is Grade.STOP]
    if not own:
        return Verdict("not found", tuple(false))
    if any(f.place is None for f in own):
        return Verdict("found without a place", tuple(false))
    away = [distance(f.place) for f in own if f.place is not None]
    missed = "" if min(away) <= NEAR else f"found {min(away):.2f} mm away"
    false += [f for f, d in zip(own, away, strict=True) if d > NEAR]
    return Verdict(missed, tuple(false))


def inside(
    where: str, name: str, kind: str, plant: Callable[[Ground], Feature], *implies: str,
    known: str = "", **card: Any,
) -> Case:  # fmt: skip
    """A feature planted in a ground."""

    def build() -> tuple[Study, Callable[[Point], float]]:
        here = ground(where)
        feature = plant(here)
        study = here.planted(feature, replace(CARD, **card))
        return study, lambda point: feature.place.distance(here.local(point))

    slow = where != "block"
    return Case(f"{name}, in {where}", kind, build, frozenset(implies), slow, known)


def bare(name: str, kind: str, make: Callable[[], tuple[Manifold, Place]], **card: Any) -> Case:
    """A solid drawn for one fault, judged without a recipe."""

    def build() -> tuple[Study, Callable[[Point], float]]:
        solid, place = make()
        return Study(solid, replace(CARD, **card)), lambda point: place.distance(np.array(point))

    return Case(name, kind, build)
