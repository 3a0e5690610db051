"""The planted faults in poses other than as used: each is found, at its place in use.

A block with a fault is turned away from the pose in which it is one, and judged in the pose that
turns it back: printed it is the very same, so the same must be found. Held above the plate, what
hangs is no longer a `stop`, and what does not depend on the plate still is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest
from cases import KINDS, Case, verdict
from planting import Point
from printing import defective
from printing_sound import sound

from nests.checks import judge
from nests.finding import Grade
from nests.printing.pose import Pose, moved
from nests.study import Study

POSES = (Pose(lean=180.0), Pose(turn=270.0, lean=90.0), Pose(turn=40.0, lean=110.0))
LIFT = 5.0


def turned(case: Case, pose: Pose) -> Case:
    """The case with its solid turned away in use and back in print."""

    def build() -> tuple[Study, Callable[[Point], float]]:
        study, distance = case.build()
        back = np.column_stack((pose.rotation().T, np.zeros(3)))
        away = Study(study.solid.transform(back), study.card, pose=pose)
        shift = study.lowest - away.pose.lift

        def from_use(point: Point) -> float:
            x, y, z = moved(away.to_print, np.array(point)[None])[0].tolist()
            return distance((x, y, z + shift))

        return away, from_use

    return replace(case, name=f"{case.name}, {pose.words()}", build=build)


def on_block(cases: tuple[Case, ...]) -> list[Case]:
    """Cases without a recipe, which no other mark holds back."""
    return [case for case in cases if not case.slow and not case.known
            and case.build()[0].holder is None]  # fmt: skip


def one_of_each_kind() -> Iterator[Case]:
    """The first case of each kind for each pose, and one more for each kind."""
    chosen = on_block(defective())
    for kind in KINDS:
        own = [case for case in chosen if case.kind == kind]
        for pose, case in zip(POSES, (own[0], own[-1], own[len(own) // 2]), strict=True):
            yield turned(case, pose)


@pytest.mark.parametrize(
    "case", list(one_of_each_kind()), ids=lambda case: f"{case.kind}: {case.name}"
)
def test_fault_is_found_at_its_place_in_use(case: Case) -> None:
    found = verdict(case)
    assert not found.missed, found.missed
    assert not found.false, [each.sentence() for each in found.false]


@pytest.mark.parametrize(
    "case",
    [turned(case, POSES[i % 3]) for i, case in enumerate(on_block(sound())[::2])],
    ids=lambda case: case.name,
)
def test_sound_solid_is_not_faulted(case: Case) -> None:
    assert not verdict(case).false, [each.sentence() for each in verdict(case).false]


@pytest.mark.parametrize("kind", KINDS)
def test_on_supports_what_hangs_is_unknown_and_the_plate_closes_nothing(kind: str) -> None:
    case = next(case for case in on_block(defective()) if case.kind == kind)
    study, _ = case.build()
    lifted = Study(study.solid, study.card, pose=Pose(lift=LIFT))
    grades = {f.grade for f in judge(lifted, (kind,))}
    if kind in ("overhang", "island"):
        assert grades == {Grade.UNKNOWN}
    elif kind == "foot":
        assert grades == {Grade.CLEAR}
    else:
        assert grades & {Grade.STOP, Grade.MEND}


def test_tube_and_recess_are_opened_by_a_lift() -> None:
    """Of a cup and a void that only the plate closes nothing is left."""
    for word, check in (("tube", "suction"), ("recess", "trapped resin")):
        case = next(case for case in on_block(defective()) if word in case.name)
        study, _ = case.build()
        assert {f.grade for f in judge(study, (check,))} & {Grade.STOP, Grade.MEND}
        lifted = Study(study.solid, study.card, pose=Pose(lift=LIFT))
        assert {f.grade for f in judge(lifted, (check,))} == {Grade.CLEAR}
