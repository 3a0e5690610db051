"""What several families need: options, body heights, room round the rim, vents, marks."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import ClassVar, Literal

from manifold3d import CrossSection, OpType

from nests.families._room import at_the_wall, distance_off, ledge_gaps, ledge_width
from nests.given.operation import Operation, Press
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.holder.recipe import HolderKind, Recipe
from nests.parts.base import Part
from nests.parts.body import Body
from nests.parts.finger_relief import FingerRelief
from nests.parts.mark import NOTCH, Mark
from nests.parts.relief import Relief
from nests.parts.ring_seat import RingSeat
from nests.parts.site import Site, along_ray
from nests.parts.stem_slot import StemSlot
from nests.parts.vent import Vent
from nests.places import Side, hours_between
from nests.solids.solid import block
from nests.units import BadInput, Hour, Length, Record, mm, said

ENGRAVED: dict[HolderKind, str] = {
    "movement holder": "movement",
    "sub-assembly cradle": "cradle",
    "case holder": "case",
}
"""What is engraved of each kind."""
NO_PRESS = "NO PRESS"
"""What is engraved where no arbor of the workpiece is known."""
ASKEW = math.radians(40.0)
"""rad by which a way through the wall may lean against the edge it crosses; beyond, the wall beside
it ends in a blade; from memory."""
LEAST_RELIEF: Length = 3.0
"""mm of the narrowest finger relief, for the tip of a tool; common practice, no source."""
LEAST_DEPTH: Length = 0.3
"""mm of wall that still centre a rim; from memory."""
UNDER_FACE: Length = 0.06
"""mm by which the wall ends below the upper face of the rim, at the least; from memory."""
NOTCH_ROOM: Length = 4.0
"""mm of the rim kept for the notch at 12 h."""
INTO_POCKET: Length = 0.5
"""mm a vent begins inside the wall of the pocket, so that it opens into it."""
LOW_FLOOR = 1.8
"""mm from floor to seat that leave a vent its height and a wall above it."""


@dataclass(frozen=True, kw_only=True)
class CommonWish(Record):
    """Options every family has.

    `varies` are those that may be others where they are not given and the usual ones do not do,
    with the values to try, the preferred first.
    """

    varies: ClassVar[Mapping[str, tuple[object, ...]]] = {
        "play": (0.14, 0.08),
        "wall": (10.0, 12.0),
    }

    wall: Length = mm(8.0, low=4.0, high=40.0, meaning="from the workpiece to the outer face")
    floor: Length = mm(2.0, low=1.2, high=20.0, meaning="thickness of the floor")
    play: Length = mm(0.10, low=0.0, high=1.0, meaning="play of the rim in the bore, on the ⌀")
    fit: str = said("ISO 286 classes of bore and rim, such as H7/g6, instead of play", "")
    ledge: Length = mm(0.9, low=0.3, high=6.0, meaning="widest ledge under the rim")
    chord_error: Length = mm(
        0.005, low=0.0005, high=0.1, meaning="how far a chord may leave its arc"
    )


@dataclass
class RimPlan:
    """What of the wall is taken, as (hour, width in mm), judged on a circle of `radius`.

    First come, first served. Cuts have parallel sides, so the same plan leaves more hours free
    on a wider circle: see `on`. Room is kept for the notch at 12 h until something that must be
    reached takes it.
    """

    radius: Length
    taken: list[tuple[Hour, Length]] = field(default_factory=list)
    notch: bool = False

    def take(self, at: Hour, width: Length) -> None:
        """Take `width` mm at an hour, for what must be there."""
        self.taken.append((at % 12.0, width))
        self.notch = self.notch and self._apart(at, width, 0.0, NOTCH_ROOM)

    def is_free(self, at: Hour, width: Length) -> bool:
        """Whether `width` mm are free at an hour."""
        kept = [(0.0, NOTCH_ROOM)] if self.notch else []
        return all(self._apart(at, width, *other) for other in (*self.taken, *kept))

    def _apart(self, at: Hour, width: Length, hour: Hour, other: Length) -> bool:
        return hours_between(at, hour) >= self._half(width) + self._half(other)

    def free(
        self, near: Hour, width: Length, suits: Callable[[Hour], bool] = lambda _: True
    ) -> Hour | None:
        """The free hour nearest to `near` that has `width` mm of room and suits; takes it."""
        for step in range(121):
            for turn in (1, -1):
                at = round((near + turn * step * 0.05) % 12.0, 3)
                if self.is_free(at, width) and suits(at):
                    self.take(at, width)
                    return at
        return None

    def on(self, radius: Length) -> RimPlan:
        """A copy, judged on a circle of another radius."""
        return RimPlan(radius, list(self.taken), self.notch)

    def _half(self, width: Length) -> float:
        return math.degrees(math.asin(min(1.0, width / 2 / self.radius))) / 30.0 + 0.02


def asked(
    operation: Operation | None, side_up: Side, name: str, presses: tuple[Press, ...] = ()
) -> Operation:
    """The operation a recipe is for: the one given, else a plain one of that name.

    Raises `BadInput` if the one given is done with the other side up.
    """
    if operation is None:
        return Operation(name=name, side_up=side_up, presses=presses, stem=True)
    if operation.side_up is not side_up:
        raise BadInput(
            f"side_up is {side_up.value}, but '{operation.name}' is done with the "
            f"{operation.side_up.value} side up; leave --side-up out or choose another operation."
        )
    return operation


LEAD_IN: Length = 0.2
"""mm of chamfer that still lead a rim into its bore; from memory."""
NO_MORE: Length = 0.06
"""mm above a lever that print and measuring may take."""


def seat_depth(sheet: Sheet, side_up: Side) -> Length:
    """How deep the rim may sit: below its upper face, and below a flange that looks up."""
    _, flange = sheet.edge(side_up)
    room = sheet.rim - (flange + 0.15 if flange else 0.0)
    if room < LEAST_DEPTH + UNDER_FACE:
        raise BadInput(
            f"rim on the sheet '{sheet.name}' is {sheet.rim:g} mm, of which {room:.2f} mm "
            f"can be held; at least {LEAST_DEPTH + UNDER_FACE:g} mm is needed."
        )
    return round(min(1.2, max(0.75 * room, LEAST_DEPTH)), 3)


def body(
    sheet: Sheet,
    side_up: Side,
    wish: CommonWish,
    card: PrinterCard,
    *,
    post: Length = 0.0,
    wall: Length | None = None,
) -> Body:
    """Body whose floor lies so deep that vents fit, and posts of height `post` under the seat; the
    seat lies on a whole layer, so that its ledge comes out where it is drawn."""
    down = sheet.height(side_up.other)
    under = max(0.8, LOW_FLOOR - down, post)
    layers = math.ceil((wish.floor + under + down) / card.layer - 1e-6)
    return Body(
        wall=wall or wish.wall,
        floor=wish.floor,
        under=round(layers * card.layer - wish.floor - down, 6),
        depth=seat_depth(sheet, side_up),
    )


def play_of(site: Site, wish: CommonWish) -> Length:
    """The play on the ⌀ a ring seat aims at."""
    return RingSeat(play=wish.play, fit=wish.fit).aim(site)


def _over_levers(site: Site) -> Length:
    """The lead-in that leaves the bore as high as the highest lever of a pusher, so that the wall
    opposite meets the rim at the height of the push; as good as none is needed above the wall."""
    levers = [site.lever(each) for each in site.sheet.pushers]
    above = site.top - max(levers, default=-math.inf) - NO_MORE
    return max(above, LEAD_IN) if above > 0.0 else math.inf


def ring_seat(
    site: Site, wish: CommonWish, *, drop: Length = 0.0, steps: tuple[float, ...] = ()
) -> RingSeat:
    """Ring seat whose lead-in leaves at least half of the depth to centre the rim, and whose ledge
    stays on what may be touched."""
    depth = seat_depth(site.sheet, site.side_up)
    square = not isinstance(site.sheet.outline, Round)  # the ends of a shaped movement lie square
    play = play_of(site, wish)
    ledge = ledge_width(site, wish.ledge, play)
    gaps, gap_width = ledge_gaps(site, ledge, play)
    # the groove must leave a wall of the ledge and be wide enough to print, or there is none
    groove = min(RingSeat.corner_relief, ledge + play / 2 - site.card.smallest_wall - 0.02)
    pairs = list(zip(gaps, [gap_width] * len(gaps), strict=True))
    across = max(1.0, site.card.smallest_gap)
    usual = (0.0, 3.0) if square else (1.5, *(q / 4 for q in range(24)))
    wide = ledge + play / 2
    drains = [
        q for q in usual
        if all(off_gaps(site, (q + turn) % 12.0, across, pairs, wide) for turn in (0.0, 6.0))
    ]  # fmt: skip
    seat = RingSeat(
        drain_hour=drains[0] if drains else usual[0],
        play=wish.play,
        fit=wish.fit,
        ledge=ledge,
        drop=drop,
        steps=steps,
        lead_in=round(min(0.5, depth / 2, _over_levers(site)), 3),
        corner_relief=round(groove, 3) if groove >= site.card.smallest_gap else 0.0,
    )
    return replace(seat, gaps=gaps, gap_width=gap_width) if gaps else seat


def rim_plan(sheet: Sheet) -> RimPlan:
    """A plan at the radius of the outline, where room is scarcest, with room kept at 12 h."""
    return RimPlan(narrowest(sheet), notch=True)


def narrowest(sheet: Sheet) -> Length:
    """Smallest radius of the outline."""
    if isinstance(sheet.outline, Round):
        return sheet.outline.diameter / 2
    site = Site(sheet, Side.DIAL, PrinterCard(), 0.01, Body())
    return min(along_ray(site.edge().bore(0.0), math.tau * k / 72) for k in range(72))


def stem_slot(plan: RimPlan, sheet: Sheet, slot: StemSlot | None = None) -> list[Part]:
    """A stem slot with its room on the rim, if the sheet has a stem."""
    if sheet.stem is None:
        return []
    slot = slot or StemSlot()
    plan.take(sheet.stem.hour, slot.crown + 1.0)
    for name in slot.pushers:
        plan.take(sheet.pusher(name).hour, slot.peg_way + 1.5)
    return [slot]


def vents(
    site: Site,
    avoid: Sequence[tuple[Hour, Length]] = (),
    *,
    standing: Sequence[Part] = (),
    level: Literal["floor", "foot"] = "floor",
    inward: Length = 2.5,
    ledge: Length | None = None,
) -> list[Part]:
    """Two vents, on opposite sides if they can be. They pass under slots.

    `avoid` lists (hour, width in mm) of what they must stay off all the way, `standing` what
    stands on the floor of the pocket; `ledge` is the lowest face above, if not the seat's groove.
    """
    above = site.seat - RingSeat.corner_relief if ledge is None else ledge
    room = above - site.floor - site.card.smallest_wall - 0.05
    wide = 2.0 if level == "foot" else round(min(2.0, 2 * room / site.rise), 3)
    if wide < 0.6:
        raise BadInput(
            f"between floor and ledge are {site.seat - site.floor:.2f} mm; a vent needs "
            "more: give more room under."
        )
    plan = RimPlan(narrowest(site.sheet))
    for hour, width in avoid:
        plan.take(hour, width)
    plan.notch = True  # it is cut through the whole height, and a vent below it would open into it
    near = (7.5, 1.5)
    if not isinstance(site.sheet.outline, Round):
        # across flank and end, where the way through the wall is square to it
        near = (9.0, 6.0)
    gaps = [gap for each in standing for gap in each.leaves_out(site)]
    feet = CrossSection.batch_boolean(
        [adds.project() for each in standing if (adds := each.shape(site).adds) is not None],
        OpType.Add,
    )
    out: list[Part] = []
    for hour in near:
        at = plan.free(
            hour,
            wide + 2 * site.card.smallest_wall,
            lambda h: (
                off_gaps(site, h, wide, gaps, inward)
                and _stays_off(site, Vent(at=h, level=level, width=wide, inward=inward), feet)
            ),
        )
        if at is not None:
            out.append(Vent(at=at, level=level, width=wide, inward=inward))
    return out


def off_gaps(
    site: Site, at: Hour, width: Length, gaps: Sequence[tuple[Hour, Length]], inward: Length
) -> bool:
    """Whether a cut of a width at an hour, begun `inward` mm inside the edge, leaves a wall beside
    every gap (hour, width) of a ledge, or lies wholly in it.

    Both have parallel sides, so what they leave between them is narrowest at the inner end.
    """
    wall, edge = site.card.smallest_wall + 0.05, site.radius(at)
    for hour, gap in gaps:
        turn = math.pi / 6 * min(hours_between(at, hour), 3.0)
        half = width / 2 * math.cos(turn)
        left = (edge - inward) * math.sin(turn) - half - gap / 2
        within = gap / 2 - edge * math.sin(turn) - half
        if left < wall and within < 0.05:
            return False
    return True


def _stays_off(site: Site, vent: Vent, feet: CrossSection) -> bool:
    """Whether a vent leaves a gap beside all that stands on the floor."""
    if feet.is_empty():
        return True
    gap, radius = site.card.smallest_gap + 0.02, site.radius(vent.at)
    way = block(
        site.frame.angle(vent.at),
        radius - vent.inward - gap,
        radius,
        vent.width + 2 * gap,
        0.0,
        1.0,
    ).project()
    return bool((way ^ feet).is_empty())


def finger_reliefs(
    plan: RimPlan, site: Site, width: Length = 9.0, above: Length = 0.3
) -> list[Part]:
    """Two finger reliefs, opposite each other if the rim has the room, never round a corner."""

    def flat(at: Hour) -> bool:
        return _is_flat(site, at, width)

    for near in (9.0, 8.0, 10.0, 7.0, 11.0, 6.0, 0.0):
        pair = (near % 12.0, (near + 6.0) % 12.0)
        if all(plan.is_free(at, width) and flat(at) for at in pair):
            for at in pair:
                plan.take(at, width)
            return [FingerRelief(at=at, width=width, above=above) for at in sorted(pair)]
    found = [plan.free(9.0, width, flat), plan.free(3.0, width, flat)]
    return [FingerRelief(at=at, width=width, above=above) for at in found if at is not None]


def wall_reliefs(site: Site, parts: Sequence[Part], plan: RimPlan) -> list[Part]:
    """Reliefs in the wall of a ring seat for what lies so near the edge, or stands out of it, that
    the bore might touch it; with their room on the rim."""
    out: list[Part] = []
    for seat in (each for each in parts if isinstance(each, RingSeat)):
        play = seat.aim(site)
        for name, hour, width in at_the_wall(site, seat.bore_offset(site), play):
            plan.take(hour, width)
            out.append(Relief(of=name, clearance=round(distance_off(site, play), 3)))
    return out


def _is_flat(site: Site, at: Hour, width: Length) -> bool:
    """Whether a cut of a width at an hour stays on one side of an outline with corners."""
    if isinstance(site.sheet.outline, Round):
        return True
    half = math.degrees(math.atan2(width / 2 + 1.0, site.radius(at))) / 30.0
    looks = site.frame.angle(at)
    turns = [site.normal((at + step * half) % 12.0) for step in (-1.0, 0.0, 1.0)]
    return all(abs(math.remainder(turn - looks, math.tau)) < ASKEW for turn in turns)


def marks(
    plan: RimPlan, site: Site, kind: str, sheet: Sheet, side_up: Side, operation: Operation
) -> list[Part]:
    """Notch at 12 h unless a way through stands there, then kind and side, calibre, and operation
    in letters that fit, and that nothing may be pressed where no arbor is known; kind and side in
    two where one line finds no room.

    Raises `BadInput` where a name cannot be engraved letter by letter, or there is no room.
    """
    side, rest = f"{side_up.value} UP".upper(), (sheet.engraved, operation.engraved)
    named = ((rest[0], 10.5), (rest[1], 1.5), *(() if sheet.arbors_known else ((NO_PRESS, 4.5),)))
    together = ((f"{kind} {side}".upper(), 6.0), *named)
    parted = ((kind.upper(), 6.5), (side, 5.5), *named)
    outer = min(site.outer(h) for h in range(12))
    for texts in (together, parted):
        for height in (2.0, 1.6, 1.3, 1.0):
            for spread in (1.0, 0.0):
                attempt = plan.on(outer - 1.2 - height)
                out: list[Part] = [Mark(text=NOTCH, at=0.0)] if plan.notch else []
                for text, near in texts:
                    mark = Mark(text=text, at=near, height=height, line=site.card.smallest_line)
                    long = mark.span(attempt.radius) * math.tau / 12 * attempt.radius + 1.0
                    at = attempt.free(near * spread, long)
                    if at is not None:
                        out.append(replace(mark, at=at))
                if len(out) == plan.notch + len(texts):
                    return out
    raise BadInput(
        f"the wall has no room left to engrave {' / '.join(text for text, _ in together)}; a "
        "thicker wall is needed, or a shorter name."
    )


def _reliefs_and_marks(blank: Recipe, plan: RimPlan, relief: Length) -> list[Part]:
    """Finger reliefs as wide as the marks leave them, and what is engraved."""
    site, sheet, above = blank.site(), blank.workpiece, min(0.3, blank.body.depth / 3)
    lacking: BadInput | None = None
    for share in (1.0, 0.75, 0.55):
        attempt = plan.on(plan.radius)
        out = finger_reliefs(attempt, site, max(relief * share, LEAST_RELIEF), above)
        try:
            kind = ENGRAVED[blank.kind]
            does = blank.operation
            return [*out, *marks(attempt, site, kind, sheet, blank.side_up, does)]
        except BadInput as none:
            lacking = lacking or none
    assert lacking is not None
    raise lacking


def finished(
    blank: Recipe,
    plan: RimPlan,
    parts: Sequence[Part],
    reasons: Sequence[str],
    *,
    avoid: Sequence[tuple[Hour, Length]] = (),
    level: Literal["floor", "foot"] = "floor",
    inward: Length | None = None,
    ledge: Length | None = None,
    stem: StemSlot | None = None,
    relief: Length = 9.0,
) -> Recipe:
    """A recipe with its parts and what closes every one: stem slot, finger reliefs, vents, marks.

    `relief` is the width of a finger relief, `inward` how far inside the edge a vent begins, if not
    where the pocket does; the rest is as in `stem_slot` and `vents`.
    """
    site, sheet = blank.site(), blank.workpiece
    out = [*parts, *wall_reliefs(site, parts, plan), *stem_slot(plan, sheet, stem)]
    closing = _reliefs_and_marks(blank, plan, relief)
    pockets = [each for part in parts if (each := part.opens(site)) is not None]
    begins = max(pockets, default=2.0) + INTO_POCKET if inward is None else inward
    if pockets:
        out = [each.into(site, max(pockets)) for each in out]
    out += vents(site, avoid, standing=parts, level=level, inward=begins, ledge=ledge)
    out += closing
    return replace(blank, parts=tuple(out), reasons=tuple(reasons))
