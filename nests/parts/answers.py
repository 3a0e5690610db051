"""What parts answer about themselves, in values that name no part.

Drawing, acceptance, drawer, load path, remedies, report and pictures walk these; none of them asks
a part for its class. Places and heights are in the holder frame, lengths in mm, angles in rad.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.mechanics.clip import Clip as Beam
from nests.mechanics.tolerance import Limits
from nests.places import Place, Points, hours_between
from nests.solids.solid import Solid
from nests.units import Hour, Length

MOST_PLAY: Length = 0.3
"""mm on the ⌀ a workpiece may shift in a seat before it no longer lies where its posts are; from
memory."""
MOST_PLAY_IN_A_POCKET: Length = 0.6
"""mm on the ⌀ a sub-assembly may shift in a pocket; from memory."""
GUIDE = 2.0
"""Length of a guide over the ⌀ of its pin, so that it does not jam; common practice, no source."""
PEG: Length = 1.2
"""mm ⌀ of the thinnest peg a lever is worked with through an open way; from memory."""
NEAR_HOURS = 0.5
"""Hours by which a pusher may lie beside the one a part was drawn for; from memory."""


def _not() -> float:
    return math.inf


@dataclass(frozen=True)
class Contact:
    """Where holder and workpiece meet.

    `place` is (x, y, z) in the holder frame, `area` in mm², `gap` in mm (proud < 0 < short),
    `gives` tells the stiffness of the part alone when it is asked for; `above` says whether it
    holds from above or carries from below, which no part may leave open, and `printed` whether the
    face that touches comes out of the printer.
    """

    part: str
    touches: str
    place: tuple[float, float, float]
    area: float
    gap: Length = 0.0
    gives: Callable[[], float] = field(kw_only=True, default=_not, compare=False)
    above: bool = field(kw_only=True)
    printed: bool = field(kw_only=True, default=True)

    @property
    def stiffness(self) -> float:
        """N/mm; infinite where it is not the part that gives."""
        return self.gives()


def first_of_each(contacts: Sequence[Contact]) -> list[Contact]:
    """One contact with each thing that is touched, to gauge its height at."""
    return list({each.touches: each for each in reversed(contacts)}.values())[::-1]


@dataclass(frozen=True)
class Shape:
    """What a part adds, what it cuts, and the bodies that lie beside the holder.

    A part first cuts, then adds; `room` says that its cut is room for the workpiece, which
    other cuts may share.
    """

    adds: Solid | None = None
    cuts: Solid | None = None
    beside: tuple[tuple[str, Solid], ...] = ()
    room: bool = False


@dataclass(frozen=True)
class Lie:
    """Where a part lies that has a direction: the hour of the dial at its middle, the holder angle
    it runs outward along, and how far to the left of the axis it does so."""

    hour: Hour
    angle: float
    aside: Length = 0.0


@dataclass(frozen=True)
class Serves:
    """What a part is for: the arbors and rests it stands under, the pushers worked through it,
    whether the stem goes through it, whether it holds the workpiece when it is turned over, and
    whether the workpiece lies in it."""

    under: tuple[str, ...] = ()
    pushers: tuple[str, ...] = ()
    stem: bool = False
    holds: bool = False
    carries: bool = False


@dataclass(frozen=True)
class Seat:
    """A bore that centres a rim: one value for fit, drawer and the table of fits.

    `holds` says in words what lies in it. `size` is the ⌀ of that, None where the bore follows the
    workpiece's edge, `out` mm outside its outline; `measured` are the places on the sheet whose
    uncertainties count, none for the sheet's own. Between `low` and `high` it may touch. `bore` is
    the ⌀ as it should come out of the printer and `takes` the ⌀ it is for (of the circle of equal
    area along an edge, which as drawn is `edge`). `ledge` is the height of the face under the rim,
    None where pads carry instead, `opening` the ⌀ inside it; up to `mouth` the bore is straight,
    `top` is the height of the wall round it and `floor` that of the face below. `most` is the most
    play on the ⌀ that is of use, `wanted` the play in words, or `fit` and its limits `asked`.
    """

    name: str
    holds: str
    size: Length | None
    out: Length
    measured: tuple[str, ...]
    low: Length
    high: Length
    bore: Length
    takes: Length
    ledge: Length | None
    opening: Length
    mouth: Length
    top: Length
    floor: Length
    most: Length
    wanted: str
    edge: Points | None = None
    in_foot: bool = False
    asked: Limits | None = None
    fit: str = ""


@dataclass(frozen=True)
class Cast:
    """What is cast in a part: its ⌀, and its solid."""

    diameter: Length
    solid: Solid


@dataclass(frozen=True)
class Shelf:
    """A ledge under the rim: the line along its middle, its width, its height, and how far below
    the rim it lies; whether only pads are left of it, and how deep the groove beside it is."""

    middle: Points
    width: Length
    level: Length
    drop: Length
    pads: bool
    groove: Length


@dataclass(frozen=True)
class Finger:
    """A finger that bends: its beam, how far a workpiece bends it aside that lies in the middle,
    how far its hook reaches over the rim, and its play to the rim."""

    beam: Beam
    bend: Length
    over: Length
    play: Length


@dataclass(frozen=True)
class Plate:
    """A plate under a screw that lies `over` mm over the rim: from the rim's edge to the screw
    `out`, its width and thickness, ⌀ of screw and of the bore for its thread, depth of that."""

    over: Length
    out: Length
    width: Length
    thickness: Length
    screw: Length
    core: Length
    depth: Length


@dataclass(frozen=True)
class Grip:
    """What holds the workpiece from above, at an hour: of what sort in a word, how wide, where.

    `askew` is how much less one end reaches over the rim than the middle, and `square` the hour it
    would have to look to for that to be nothing.
    """

    word: str
    hour: Hour
    width: Length
    place: tuple[float, float, float]
    made: Finger | Plate
    askew: Length = 0.0
    square: Hour = 0.0


@dataclass(frozen=True)
class Guide:
    """The guide of a rod: ⌀ of rod and play, radius at which its collar rests, ⌀ and depth of the
    pocket for a spring, and ⌀ of the button."""

    rod: Length
    play: Length
    shoulder: Length
    pocket: Length
    pocket_depth: Length
    button: Length


@dataclass(frozen=True)
class Arm:
    """An arm that springs: thickness, length, and strain at its root at full stroke."""

    thickness: Length
    length: Length
    strain: float


@dataclass(frozen=True)
class Access:
    """How a part works a pusher: the hour it lies at and how far out, the height of the lever.

    An open way has a `width`, and room `below` the middle of the lever; what moves has a gap at
    rest and a stroke, and is a rod in a guide or an arm.
    """

    hour: Hour
    radius: Length
    z: Length
    width: Length = 0.0
    below: Length = 0.0
    rest_gap: Length = 0.0
    stroke: Length = 0.0
    moves: Guide | Arm | None = None


@dataclass(frozen=True)
class StemWay:
    """A way for a stem: its hour, half its width, how far out it is narrow, its lowest point; half
    the width of the room for its crown, the distance from the axis at which that begins, and its
    lowest point."""

    hour: Hour
    half: Length
    reach: Length
    floor: Length
    crown_half: Length = 0.0
    crown_from: Length = math.inf
    crown_floor: Length = math.inf


@dataclass(frozen=True)
class Fitting:
    """Something that is not printed in place, as it lies in use; `metal` or soft or printed apart.

    One shape for picture, clearance and what is to be bought.
    """

    name: str
    solid: Solid
    metal: bool = True


@dataclass(frozen=True)
class Letters:
    """Letters as engraved: their text, height and width of stroke."""

    text: str
    height: Length
    line: Length


@dataclass(frozen=True)
class Over:
    """What is above a tip: its name, how far the tip is from it, and where, None over a jewel."""

    name: str
    gap: Length
    at: Place | None


@dataclass(frozen=True)
class Now:
    """Another workpiece that lies in a print: how it lies there, for the parts to be read anew.

    `was_for` is the workpiece of the recipe. `play` is on the ⌀, `across` its ⌀, `opening` that
    inside the ledge, `drop` how far the ledge lies below it. `lies_here` says that it lies in the
    part that is asked, `over` what is above a tip of that part.
    """

    sheet: Sheet
    was_for: Sheet
    play: Length
    across: Length
    opening: Length
    drop: Length
    lies_here: bool
    over: Over | None

    def near(self, names: Iterable[str]) -> tuple[str, ...]:
        """The pushers that lie nearest to those a part was made for, within half an hour."""
        out: list[str] = []
        for name in names:
            hour = self.was_for.pusher(name).hour
            near = min(self.sheet.pushers, key=lambda p: hours_between(p.hour, hour), default=None)
            if (
                near is not None
                and hours_between(near.hour, hour) <= NEAR_HOURS
                and near.name not in out
            ):
                out.append(near.name)
        return tuple(out)


@dataclass(frozen=True)
class Edge:
    """The edge a bore goes round: what it is in words, its ⌀ if it is round, where it was
    measured."""

    holds: str
    size: Length | None
    measured: tuple[str, ...]


def own_edge(sheet: Sheet, out: Length) -> Edge:
    """The workpiece's own edge, or that of a flange `out` mm outside it."""
    size = sheet.outline.diameter + 2 * out if isinstance(sheet.outline, Round) else None
    if out > 0.0:
        return Edge("the flange", size, ("/casing_ledge/diameter",))
    if size is not None:
        return Edge("the edge", size, ("/outline/diameter",))
    return Edge("the edge", size, ("/outline", "/outline"))


def beside(radius: Length, first: Hour, second: Hour) -> Length:
    """How far apart two hours are at a radius, square to the first; no more than at 3 hours."""
    return radius * math.sin(math.pi / 6 * min(hours_between(first, second), 3.0))
