"""What the holders of the drawer offer: each that its sizes do not rule out, judged as a whole.

One is passed over only if it could not do better than one that was judged: it could serve no group
of operations more, and be no lighter. So the family is as small as if every holder had been judged.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from nests.finding import Finding, Grade, worst
from nests.given.operation import Operation
from nests.planning.smallest import Members

MOST = 200
"""Holders of the drawer judged for one job; with more the answer is not called proved."""
OTHERWISE = "another holder"
"""How a remedy begins that is none for the holder that is there."""
WEIGHTS: dict[Grade, int] = {Grade.CLEAR: 1, Grade.MEND: 10, Grade.UNKNOWN: 1000}
"""Weight of a holder of the drawer: sound ones before worn ones, both before one of which a fact
is to be measured, and that before anything is printed; common practice, no source."""


@dataclass(frozen=True)
class Answer:
    """What a holder that is there answers when asked about an operation.

    `why_not` says why it does not serve it, '' if it does; `findings` are those of its best seat.
    The rest is about the holder: `posts` are the pressed arbors it has a post under, `volume` is
    in mm³, `condition` how it stands in the drawer. `unread` says why it could not be judged at
    all, for this operation or any other.
    """

    why_not: str = ""
    findings: tuple[Finding, ...] = ()
    family: str = ""
    posts: tuple[str, ...] = ()
    volume: float | None = None
    condition: Literal["", "in use", "worn"] = ""
    unread: str = ""

    @property
    def serves(self) -> bool:
        """Whether the operation can be done in it; never with a `stop`."""
        return not (self.why_not or self.unread) and worst(self.findings) is not Grade.STOP

    @property
    def cures(self) -> tuple[str, ...]:
        """What would have to be done to a holder that does not serve; nothing where no more than
        another holder would do for one of its faults."""
        stops = [each for each in self.findings if each.grade is Grade.STOP]
        if not all(each.remedy and not each.remedy.startswith(OTHERWISE) for each in stops):
            return ()
        return tuple(dict.fromkeys(each.remedy for each in stops))

    @property
    def weight(self) -> int:
        """Weight in the family, by what was not assessed and by what should change."""
        grades = {each.grade for each in self.findings}
        return max(WEIGHTS[g] for g in (*(grades & WEIGHTS.keys()), Grade.CLEAR))


@dataclass(frozen=True)
class Existing:
    """A holder that is there, and what it answers when asked about an operation.

    `fits` is the less the better its sizes fit, None where they alone rule it out; `at_best` is the
    grade it cannot be better than, whatever is asked.
    """

    name: str
    asked: Callable[[Operation], Answer]
    fits: Callable[[Operation], float | None] = lambda _: 0.0
    at_best: Grade = Grade.CLEAR


@dataclass(frozen=True)
class Offer:
    """What a holder that is there serves, as indices of groups, and what is known of it then; and
    what it was refused for, group by group, though its sizes do not rule it out."""

    holder: Existing
    serves: Members
    answer: Answer
    refused: tuple[tuple[int, Answer], ...] = ()


@dataclass(frozen=True)
class Offers:
    """What the drawer offers, and a sentence for each holder that was not judged. `refused` are the
    offers of those that serve less than was asked, `too_far` the names of those that their sizes
    rule out for all of it."""

    made: tuple[Offer, ...]
    unjudged: tuple[str, ...]
    refused: tuple[Offer, ...] = ()
    too_far: tuple[str, ...] = ()


@dataclass(frozen=True)
class Asking:
    """The questions of a job: `groups` of operations with one workpiece and side up each, and the
    one operation that stands for a set of groups."""

    alike: Sequence[Sequence[int]]
    operation: Callable[[Members], Operation]

    def answer(self, holder: Existing, among: Members) -> Offer:
        """What of `among` a holder serves, asked about as many groups at once as can be."""
        parts = [
            part
            for each in self.alike
            if (some := [g for g in each if g in among])
            for part in self._served(holder, some)
        ]
        serves: Members = frozenset().union(*(members for members, each in parts if each.serves))
        known = [each for _, each in parts if each.serves or each.unread]
        refused = [(g, each) for some, each in parts if each.why_not for g in sorted(some)]
        return Offer(holder, serves, _together(known), tuple(refused))

    def _served(self, holder: Existing, among: list[int]) -> Iterator[tuple[Members, Answer]]:
        """Sets of groups a holder serves: all at once, or looked for in either half; and single
        groups that it does not."""
        members = frozenset(among)
        operation = self.operation(members)
        if holder.fits(operation) is not None:
            answer = holder.asked(operation)
            if answer.serves or answer.unread or len(among) == 1:
                yield members, answer
                return
        if len(among) > 1:
            middle = len(among) // 2
            yield from self._served(holder, among[:middle])
            yield from self._served(holder, among[middle:])


def offers(existing: Sequence[Existing], asking: Asking) -> Offers:
    """What the holders of a drawer serve. Those that may serve most, best, are asked first."""
    singles = {g: asking.operation(frozenset({g})) for each in asking.alike for g in each}
    ranked, too_far = [], []
    for each in existing:
        fits = {g: fit for g, of in singles.items() if (fit := each.fits(of)) is not None}
        if not fits:
            too_far.append(each.name)
        else:
            key = (
                -len(fits),
                WEIGHTS[each.at_best],
                math.fsum(fits.values()) / len(fits),
                each.name,
            )
            ranked.append((key, each, frozenset(fits)))
    made: list[Offer] = []
    refused: list[Offer] = []
    unjudged: list[str] = []
    judged, left = 0, 0
    for _, holder, could in sorted(ranked, key=lambda each: each[0]):
        if any(could <= o.serves and o.answer.weight <= WEIGHTS[holder.at_best] for o in made):
            continue
        if judged >= MOST:
            left += 1
            continue
        judged += 1
        offer = asking.answer(holder, could)
        if offer.answer.unread:
            unjudged.append(offer.answer.unread)
            continue
        made += [offer] if offer.serves else []
        refused += [offer] if offer.refused else []
    if left:
        unjudged.append(f"{left} holders of the drawer were left, {MOST} having been judged.")
    return Offers(tuple(_useful(made)), tuple(unjudged), tuple(refused), tuple(sorted(too_far)))


def _useful(made: Sequence[Offer]) -> Iterator[Offer]:
    """The offers that no other one makes superfluous; of equal ones the first."""
    for i, each in enumerate(made):
        own = each.answer.weight
        if not any(
            each.serves <= o.serves
            and o.answer.weight <= own
            and (each.serves < o.serves or o.answer.weight < own or j < i)
            for j, o in enumerate(made)
        ):
            yield each


def _together(parts: Sequence[Answer]) -> Answer:
    """What is known of a holder from all it was asked."""
    if not parts:
        return Answer("it serves none of it.")
    first = parts[0]
    return Answer(
        findings=tuple(dict.fromkeys(f for each in parts for f in each.findings)),
        family=first.family,
        posts=tuple(dict.fromkeys(post for each in parts for post in each.posts)),
        volume=first.volume,
        condition=first.condition,
        unread=next((each.unread for each in parts if each.unread), ""),
    )
