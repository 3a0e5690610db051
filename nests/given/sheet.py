"""The sheet: one workpiece (a movement, a sub-assembly or a case) as it was measured."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar, Literal, TypeVar

from nests.finding import MEMORY
from nests.given.dial import Dial
from nests.given.sideways import Button as Button
from nests.given.sideways import Crown as Crown
from nests.given.sideways import Flank as Flank
from nests.given.sideways import Lug as Lug
from nests.given.sideways import Pusher as Pusher
from nests.given.sideways import Stem as Stem
from nests.given.trade import What
from nests.given.zones import Outline, Round, Zone
from nests.letters.engraving import ALLOWED, engraved, require_mark
from nests.places import Place, Side, hours_between
from nests.units import BadInput, Length, Record, described, mm, prose, quantity, said

T = TypeVar("T")
ONE_AXIS: float = 0.05
"""Hours between stem and pusher from which the pusher no longer sits in the crown; from memory."""
COAXIAL: Length = 0.05
"""mm between two arbors that stand on one axis; from memory."""
WHAT = "what it is in the trade's words, so that an operation may say it is absent by that"


@dataclass(frozen=True, kw_only=True)
class CasingLedge(Record):
    """Flange on the rim that rests in the case."""

    diameter: Length = mm(low=3.0, high=75.0, meaning="⌀ of the flange")
    height: Length = mm(low=0.05, high=3.0, meaning="height of the flange")
    side: Side = said("side whose rim face the flange is flush with", Side.DIAL)


@dataclass(frozen=True, kw_only=True)
class Recess(Record):
    """Where a plate is thinner than the rest of it, or bored through."""

    says_side: ClassVar[str | None] = ""
    zone: Zone = said("its area in plan")
    thickness: Length = mm(low=0.0, high=6.0, meaning="thickness left there, 0 for a hole")


@dataclass(frozen=True, kw_only=True)
class PlateStock(Record):
    """What a plate or bridge is made of; a thickness not measured stays unknown."""

    thickness: Length | None = mm(None, low=0.1, high=6.0, meaning="thickness under the arbors")
    recesses: tuple[Recess, ...] = said("where it is thinner, or bored through", ())
    material: str = said("name of the material", "brass")
    modulus: float = quantity(
        "MPa", 97_000.0, 1_000.0, 400_000.0, "Young's modulus", "brass C36000, property page"
    )
    poisson: float = quantity("", 0.31, 0.0, 0.49, "Poisson's ratio", "brass C36000, property page")


@dataclass(frozen=True, kw_only=True)
class Jewel(Record):
    """A jewel, seen from the side its outer face looks to; or a bush, which is the stock itself."""

    side: Side = said("side the outer face looks to")
    bush: bool = said(
        "whether the arbor runs in the plate or bridge itself: nothing is pressed in, nothing can "
        "slide, and the measures are those of the face round the arbor",
        False,
    )
    diameter: Length = mm(low=0.3, high=4.0, meaning="⌀ of the jewel, or of the face of a bush")
    height: Length = mm(
        low=-5.0, high=8.0, meaning="outer face of the jewel above the rim face of its side"
    )
    thickness: Length | None = mm(None, low=0.05, high=1.5, meaning="thickness of the jewel")
    oil_sink: Length | None = mm(
        None, low=0.0, high=4.0, meaning="⌀ of the oil sink in the outer face, 0 for none"
    )
    pivot_diameter: Length = mm(0.0, high=2.0, meaning="⌀ of the pivot that shows, 0 for none")
    pivot_protrusion: Length = mm(
        0.0, high=2.0, meaning="how far the pivot stands out of the jewel"
    )
    interference: Length | None = mm(
        None, low=0.0005, high=0.05, meaning="jewel ⌀ minus ⌀ of its hole, if known"
    )
    push_out_force: float | None = quantity(
        "N", None, 0.1, 500.0, "force that moves the jewel in its hole, if measured"
    )

    @property
    def word(self) -> str:
        """What a sentence calls it."""
        return "bush" if self.bush else "jewel"


@dataclass(frozen=True, kw_only=True)
class Arbor(Record):
    """An arbor with its jewels and what it carries."""

    says_side: ClassVar[str | None] = "jewels.side"
    name: str = said("name of the arbor, unique on the sheet")
    at: Place = said("place of the arbor")
    carries: tuple[str, ...] = said("hands that are pressed on it, in order of fitting", ())
    jewels: tuple[Jewel, ...] = said(
        "its jewels; of two on one side the outer one is a cap jewel, against which the pivot runs",
        (),
    )
    what: What | None = said(WHAT, None)
    endshake: Length | None = mm(None, low=0.0, high=0.3, meaning="endshake")
    endshake_change: Length = mm(
        0.01,
        low=0.001,
        high=0.1,
        meaning="largest change of the endshake that is allowed",
        origin=MEMORY,
    )

    def jewel(self, side: Side) -> Jewel | None:
        """The jewel whose outer face looks to `side`, if the sheet has one; of two the outermost,
        the cap jewel, which a post meets and the pivot's end runs against."""
        own = (each for each in self.jewels if each.side is side)
        return max(own, key=lambda each: each.height, default=None)


@dataclass(frozen=True, kw_only=True)
class Rest(Record):
    """An area of the workpiece that may be touched."""

    says_side: ClassVar[str | None] = "side"
    name: str = said("name of the rest, unique on the sheet")
    side: Side = said("side it looks to")
    height: Length = mm(low=-5.0, high=8.0, meaning="its face above the rim face of its side")
    zone: Zone = said("where it may be touched")
    what: What | None = said(WHAT, None)


@dataclass(frozen=True, kw_only=True)
class KeepClear(Record):
    """A volume of the workpiece that nothing may enter."""

    says_side: ClassVar[str | None] = "side"
    name: str = said("name, unique on the sheet")
    side: Side = said("side the heights are read from")
    zone: Zone = said("its area in plan")
    from_height: Length = mm(low=-12.0, high=12.0, meaning="its inner end above the rim face")
    to_height: Length = mm(low=-12.0, high=12.0, meaning="its outer end above the rim face")
    what: What | None = said(WHAT, None)


@dataclass(frozen=True, kw_only=True)
class DialFoot(Record):
    """A foot of the dial, or the hole it goes into."""

    at: Place = said("place of the foot")
    diameter: Length = mm(low=0.2, high=2.0, meaning="⌀ of the foot")
    length: Length = mm(low=0.2, high=6.0, meaning="length of the foot")


Kind = Literal["movement", "sub-assembly", "case"]


@dataclass(frozen=True, kw_only=True)
class Sheet(Record):
    """One workpiece, from caliper readings, a drawing or a picture."""

    name: str = said("what the workshop calls it")
    mark: str = said(f"what is engraved for it: {ALLOWED}; none for the name itself", "")
    kind: Kind = said("movement, sub-assembly or case; kinds never mix", "movement")
    what: What | None = said(f"of a sub-assembly: {WHAT}", None)
    outline: Outline = said("edge at the seating rim")
    rim: Length = mm(low=0.2, high=15.0, meaning="height of the seating rim, face to face")
    dial_height: Length = mm(
        0.0,
        high=12.0,
        meaning="highest point above the dial-side rim face; of a case that of bezel and crystal",
    )
    bridge_height: Length = mm(
        0.0,
        high=12.0,
        meaning="highest point above the bridge-side rim face; of a case that of its back, "
        "without the lugs",
    )
    casing_ledge: CasingLedge | None = said("flange on the rim, if it has one", None)
    plate: PlateStock = said("the main plate", PlateStock())
    bridges: PlateStock = said("the bridges", PlateStock())
    arbors: tuple[Arbor, ...] = said("arbors", ())
    rests: tuple[Rest, ...] = said("areas that may be touched", ())
    keep_clear: tuple[KeepClear, ...] = said("volumes nothing may enter", ())
    nothing_fragile: bool = said(
        "whether it was looked at and nothing on it has to be kept clear of", False
    )
    dial: Dial | None = said("the dial, on unless an operation says it is absent", None)
    dial_feet: tuple[DialFoot, ...] = said("feet of the dial", ())
    stem: Stem | None = said("winding stem", None)
    pushers: tuple[Pusher, ...] = said("pushers", ())
    lugs: tuple[Lug, ...] = said("lugs of a case", ())
    flank: Flank | None = said("where the flank of a case is upright", None)
    sub_assemblies: tuple[Sheet, ...] = said("sub-assemblies, each a workpiece itself", ())
    mass: float | None = quantity("g", None, 0.01, 500.0, "mass")
    uncertainty: Length = mm(0.02, high=1.0, meaning="measuring uncertainty of every length, ±")
    uncertainties: Mapping[str, float] = field(
        default_factory=dict,
        metadata=described("± in mm of single values, keyed by JSON Pointer (RFC 6901)"),
    )
    assumed: tuple[str, ...] = said(
        "JSON Pointers (RFC 6901) of what was assumed or never looked at, not measured", ()
    )
    remarks: str = prose("anything else, such as that the workpiece is invented", "")

    def __post_init__(self) -> None:
        """Check limits, and that the mark can be engraved; raises `BadInput`."""
        super().__post_init__()
        require_mark(self.mark, f"the sheet '{self.name}'")

    @property
    def engraved(self) -> str:
        """What is engraved for this workpiece, whenever it is measured again: its mark, else its
        name. Raises `BadInput` for a name that cannot be engraved letter by letter."""
        return engraved(self, "sheet")

    @property
    def arbors_known(self) -> bool:
        """Whether it was looked at for arbors; else nothing may be pressed on it."""
        return "/arbors" not in self.assumed

    def height(self, side: Side) -> Length:
        """Highest point above the rim face of a side, in mm, with dial and hands if they are on."""
        bare = self.bare_height(side)
        return max(bare, self.dial.top) if side is Side.DIAL and self.dial is not None else bare

    def bare_height(self, side: Side) -> Length:
        """Highest point of the movement itself above the rim face of a side, in mm."""
        return self.dial_height if side is Side.DIAL else self.bridge_height

    def edge(self, side: Side) -> tuple[Length, Length]:
        """How far the edge at the rim face of `side` stands out beyond the outline, and the height
        of that flange; (0, 0) without a flange there."""
        ledge = self.casing_ledge
        if ledge is None or ledge.side is not side or not isinstance(self.outline, Round):
            return 0.0, 0.0
        return (ledge.diameter - self.outline.diameter) / 2, ledge.height

    def arbor(self, name: str) -> Arbor:
        """The arbor of that name; raises `BadInput` if the sheet has none."""
        return _named(self.arbors, name, f"arbor on the sheet '{self.name}'")

    def on_axis(self, arbor: Arbor) -> tuple[Arbor, ...]:
        """All arbors on the axis of one, itself included, in the order of the sheet: one may run
        through another."""
        return tuple(each for each in self.arbors if each.at.distance(arbor.at) < COAXIAL)

    def outermost(self, name: str, side: Side) -> Arbor:
        """The arbor on the axis of `name` whose jewel lies outermost on `side`: the one a post
        meets there; the arbor itself where none has a jewel there. Raises `BadInput` as `arbor`."""
        own, best = self.arbor(name), -math.inf
        found = own
        for each in (own, *self.on_axis(own)):
            jewel = each.jewel(side)
            if jewel is not None and jewel.height > best:
                found, best = each, jewel.height
        return found

    def rest(self, name: str) -> Rest:
        """The rest of that name; raises `BadInput` if the sheet has none."""
        return _named(self.rests, name, f"rest on the sheet '{self.name}'")

    def pusher(self, name: str) -> Pusher:
        """The pusher of that name; raises `BadInput` if the sheet has none."""
        return _named(self.pushers, name, f"pusher on the sheet '{self.name}'")

    def pointer(self, what: str, name: str, field: str) -> str:
        """JSON Pointer of a field of the arbor, pusher or other thing of that name; `what` is the
        list it is in. Raises `BadInput` if the sheet has none."""
        some = getattr(self, what)
        index = some.index(_named(some, name, f"thing on the sheet '{self.name}'"))
        return f"/{what}/{index}/{field}"

    def through_the_crown(self, pusher: Pusher) -> bool:
        """Whether a pusher is worked through the crown: stem and pusher are on one axis."""
        stem = self.stem
        return (
            stem is not None
            and hours_between(stem.hour, pusher.hour) < ONE_AXIS
            and abs(stem.depth - pusher.depth) < stem.diameter / 2
        )

    def sub_assembly(self, name: str) -> Sheet:
        """The sub-assembly of that name; raises `BadInput` if the sheet has none."""
        return _named(self.sub_assemblies, name, f"sub-assembly on the sheet '{self.name}'")


def _named(items: tuple[T, ...], name: str, what: str) -> T:
    for each in items:
        if getattr(each, "name", None) == name:
            return each
    names = ", ".join(str(getattr(each, "name", "")) for each in items) or "none"
    raise BadInput(f"there is no {what} named '{name}'; there is {names}.")
