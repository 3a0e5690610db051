"""Which upright planes a holder is cut by, so that its profile, its posts and its cuts show."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nests.papers.drawing.cuts import HalfPlane
from nests.papers.drawing.profile import CENTRAL, Profile, Subject, clean_profile, profile
from nests.parts.answers import Lie
from nests.parts.base import LITTLE, Part
from nests.places import Place


@dataclass(frozen=True, eq=False)
class SectionPlane:
    """A cut from left to right by two half-planes, and its letter."""

    letter: str
    left: Profile
    right: Profile

    @property
    def name(self) -> str:
        """Its letter as it stands above the view."""
        return f"{self.letter}–{self.letter}"

    @property
    def shows_axis(self) -> bool:
        """Whether it goes through the axis, so that it shows the whole of what is round."""
        return self.left.plane.offset == self.right.plane.offset == 0.0

    @property
    def is_clean(self) -> bool:
        """Whether both halves show the turned shape and nothing else."""
        return self.left.clean and self.right.clean

    @property
    def is_across(self) -> bool:
        """Of a seat that is not round: whether it is measured straight across on this cut."""
        halves = (self.left, self.right)
        return (
            self.letter in "AB" and all(h.square for h in halves) and any(h.clean for h in halves)
        )

    @property
    def turned(self) -> tuple[float, Profile]:
        """The half that shows the turned shape, and -1.0 if it is the left one, 1.0 if not."""
        if self.right.clean and not self.left.clean:
            return 1.0, self.right
        return -1.0, self.left


def plane_of(lie: Lie) -> HalfPlane:
    """The upright half-plane through the middle of a part, outward along it."""
    return HalfPlane(lie.angle, lie.aside)


def post_place(subject: Subject, part: Part) -> Place | None:
    """Place of a post in the holder frame."""
    post = part.post()
    return None if post is None else post.foothold(subject.holder.recipe.site()).at


def _half_planes(subject: Subject) -> list[HalfPlane]:
    """Half-planes worth seeing, the most telling first: one of each kind of part, and posts.

    In a plain ring what only tells a little is all there is to see.
    """
    site, laid = subject.holder.recipe.site(), subject.holder.laid
    places = [p for each in laid if (p := post_place(subject, each.part)) is not None]
    off_axis = sorted((p for p in places if p.radius > CENTRAL), key=lambda p: -p.radius)
    posts = [HalfPlane(math.atan2(p.y, p.x)) for p in off_axis[:2]]
    first: dict[int, HalfPlane] = {}
    for each in laid:
        lie = each.part.lies(site) if each.part.telling else None
        if lie is not None:
            first.setdefault(each.part.telling, plane_of(lie))
    much = [first[rank] for rank in sorted(first) if rank < LITTLE]
    little = [first[rank] for rank in sorted(first) if rank >= LITTLE]
    return much + posts or little


def section_planes(subject: Subject) -> list[SectionPlane]:
    """The cuts of a holder, A–A first: one half of it shows the turned shape undisturbed.

    They are seen from below the plan as far as they can be: left is then left in both.
    """
    worth = _half_planes(subject)
    pairs: list[tuple[Profile, Profile]] = []
    if subject.is_round:
        first = worth.pop(0) if worth else HalfPlane(0.0)
        cut = profile(subject, first)
        clean = clean_profile(subject, _near(subject, first.angle + math.pi))
        pair = (clean or profile(subject, first.opposite), cut)
        swapped = clean is not None and math.cos(first.angle) < -1e-9
        pairs.append(pair[::-1] if swapped else pair)
    else:
        pairs += _square_pairs(subject)
    while worth:
        one = worth.pop(0)
        other = one.opposite
        if worth:  # the half-plane most nearly opposite makes the straightest cut
            other = worth.pop(int(np.argmin([math.cos(p.angle - one.angle) for p in worth])))
        ends = sorted((one, other), key=lambda plane: math.cos(plane.angle))
        pairs.append((profile(subject, ends[0]), profile(subject, ends[1])))
    return [SectionPlane(chr(65 + k), *pair) for k, pair in enumerate(pairs)]


def turned_profile(subject: Subject) -> Profile:
    """A profile that shows the turned shape of a round holder."""
    clean = clean_profile(subject, _near(subject, math.pi))
    return clean if clean is not None else profile(subject, HalfPlane(math.pi))


def _near(subject: Subject, angle: float) -> list[float]:
    """Angles all round at which nothing but turned parts lies, those nearest to one first."""
    steps = np.array(sorted(range(-71, 73), key=abs)) * math.radians(2.5) + angle
    corners = subject.faces.corners[~subject.clear][:, :, :2]
    turn = np.arctan2(corners[:, :, 1], corners[:, :, 0])
    first = turn[:, :1]
    span = (turn - first + math.pi) % math.tau - math.pi
    low, high = first[:, 0] + span.min(axis=1), first[:, 0] + span.max(axis=1)
    into = (steps[:, None] - low) % math.tau
    return [float(a) for a in steps[~(into <= high - low).any(axis=1)]]


def _square_pairs(subject: Subject) -> list[tuple[Profile, Profile]]:
    """For a seat that is not round: cuts square to its flanks and its ends, beside the parts.

    Of a cut that is not square the play could not be read, so it is the last choice.
    """
    offsets = np.array([0.5 * k for k in sorted(range(-16, 17), key=abs)])
    corners = subject.faces.corners[~subject.clear][:, :, :2]

    def ledges(found: Profile) -> int:
        return len(found.ledges(subject.seat[0])) if subject.seat is not None else 0

    def cut_at(angle: float, offset: float) -> tuple[Profile, Profile]:
        right = profile(subject, HalfPlane(angle, offset))
        return profile(subject, right.plane.opposite), right

    out = []
    for angle in (0.0, math.pi / 2):
        # planes that meet nothing but what goes round, as far as its corners tell
        side = corners @ HalfPlane(angle).left
        meets = (side.min(axis=1) < offsets[:, None]) & (side.max(axis=1) > offsets[:, None])
        free = offsets[~meets.any(axis=1)].tolist()
        pairs = [cut_at(angle, offset) for offset in free]
        square = [pair for pair in pairs if all(h.square and h.clean for h in pair)]
        if not square:  # a part is in the way on one side: the other shows the turned shape
            halves = [cut_at(angle, offset) for offset in offsets.tolist()]
            square = [p for p in halves if all(h.square for h in p) and any(h.clean for h in p)]
        clean = square or [pair for pair in pairs if all(h.clean for h in pair)]
        # a drain or a gap takes a ledge away: of the cuts with every ledge that nearest to the axis
        out.append(max(clean or [cut_at(angle, 0.0)], key=lambda pair: min(map(ledges, pair))))
    return out
