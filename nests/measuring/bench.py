"""The questions of the bench, in its order: what is asked, with which tool, and how.

Limits and defaults are those of the sheet's own fields; none stands here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from typing import Literal, TypeAlias

from nests.finding import MEMORY
from nests.given.dial import Dial
from nests.given.sheet import (
    Arbor,
    CasingLedge,
    Jewel,
    KeepClear,
    PlateStock,
    Pusher,
    Rest,
    Sheet,
    Stem,
)
from nests.given.zones import Disc, Round
from nests.kinds.measured import Thing
from nests.measuring.reading import quantity_of
from nests.measuring.tools import BALANCE, CALIPER, DEPTH_GAUGE, EYE
from nests.units import Quantity

Form: TypeAlias = Literal[
    "kind", "text", "outline", "length", "level", "number", "hour", "names", "some", "place", "what"
]
"""How an answer is read; `some` are some of the arbors."""


@dataclass(frozen=True)
class Ask:
    """One fact that may be asked of a kind of thing; '{}' in its words is the thing's name."""

    thing: Thing
    asks: str
    form: Form
    says: str
    tool: str
    how: str = ""
    field: tuple[type, str] | None = None
    may_lack: bool = False
    """Whether 'none' is an answer."""
    usual: bool = True
    """Whether it is asked unless one wishes to be asked more."""
    own: Quantity | None = None
    """Limits of what the sheet has in another form."""

    @property
    def about(self) -> Quantity:
        """Its limits and unit."""
        if self.own is not None:
            return self.own
        return quantity_of(*self.field) if self.field else Quantity("", None, None, "")

    @property
    def unit(self) -> str:
        """Unit of its numbers."""
        if self.form in ("outline", "place"):
            return "mm"
        return "h" if self.form == "hour" else self.about.unit

    @property
    def default(self) -> str:
        """What the sheet takes where it is not answered, in words; '' for nothing."""
        if self.field is None:
            return ""
        found = next(f for f in fields(self.field[0]) if f.name == self.field[1])
        if found.default in (MISSING, None, "", ()):
            return ""
        return f"{found.default} {self.about.unit}".strip()


LEVEL_RIM = Quantity("mm", 0.1, 20.0, "how far inward from the edge a rim face is level", MEMORY)
ON_DIAL = " On the dial side write '0.4 on dial'."
PLACES = "hour and radius, such as 7.6 h 8.0, or distances; help lists the ways"

WHOLE = (
    Ask("whole", "kind", "kind", "What lies on the bench: a movement or a sub-assembly?", EYE),
    Ask("whole", "name", "text", "What does the workshop call it?", EYE),
    Ask("whole", "mark", "text", "What is engraved for it?", EYE,
        "letters A to Z, digits, spaces, '-', '.' and '/'", (Sheet, "mark"), usual=False),
    Ask("whole", "diameter", "outline", "How wide is it at the seating rim?", CALIPER,
        "over 3 h and 9 h, then a quarter on; the larger; if not round, 3 h to 9 h x 12 h to 6 h"),
    Ask("whole", "rim", "length", "How high is the seating rim, face to face?", CALIPER,
        "at three hours, the largest", (Sheet, "rim")),
    Ask("whole", "dial height", "length",
        "How far does its highest point stand above the dial-side rim face?", DEPTH_GAUGE,
        "without dial and hands; foot on the highest point, pin on the rim",
        (Sheet, "dial_height")),
    Ask("whole", "bridge height", "length",
        "How far does its highest point stand above the bridge-side rim face?", DEPTH_GAUGE,
        "foot on the highest point, pin on the rim", (Sheet, "bridge_height")),
    Ask("whole", "flange", "length", "How wide is the flange on the rim?", CALIPER,
        "none if the rim is plain", (CasingLedge, "diameter"), may_lack=True),
    Ask("whole", "flange height", "level", "How high is that flange?", CALIPER,
        "flush with the dial-side rim face; else '0.4 on bridge'", (CasingLedge, "height")),
    Ask("whole", "rim level", "length",
        "How far inward from the edge is the bridge-side rim face level and free?", CALIPER,
        "where it is narrowest; none if it may not be touched", own=LEVEL_RIM, may_lack=True),
    Ask("whole", "dial rim level", "length",
        "How far inward from the edge is the dial-side rim face level and free?", CALIPER,
        "where it is narrowest", own=LEVEL_RIM, may_lack=True, usual=False),
    Ask("whole", "stem", "hour", "At which hour does the stem leave?", EYE,
        "none without one", may_lack=True),
    Ask("whole", "stem depth", "length",
        "How deep does the stem's axis lie below the dial-side rim face?", CALIPER,
        "down to the stem, and half its ⌀ more", (Stem, "depth")),
    Ask("whole", "stem diameter", "length", "How thick is the stem?", CALIPER, "",
        (Stem, "diameter"), usual=False),
    Ask("whole", "stem draw", "length", "How far is the stem drawn to set the hands?", CALIPER, "",
        (Stem, "draw"), usual=False),
    Ask("whole", "dial", "length", "How wide is the dial that is on it?", CALIPER,
        "none if it is off", (Round, "diameter"), may_lack=True, usual=False),
    Ask("whole", "dial underside", "length",
        "How far does the underside of the dial lie above the dial-side rim face?", DEPTH_GAUGE,
        "negative if it lies below", (Dial, "underside"), usual=False),
    Ask("whole", "dial thickness", "length", "How thick is the dial?", CALIPER, "",
        (Dial, "thickness"), usual=False),
    Ask("whole", "hands height", "length", "How high do the hands stand above the dial?",
        DEPTH_GAUGE, "0 for no hands", (Dial, "hands_height"), usual=False),
    Ask("whole", "pushers", "names", "Which pushers are there?", EYE,
        "names with commas, or none", may_lack=True),
)  # fmt: skip
PUSHER = (
    Ask("pusher", "hour", "hour", "At which hour is '{}' pushed?", EYE),
    Ask("pusher", "depth", "length",
        "How deep does the middle of the lever of '{}' lie below the dial-side rim face?", CALIPER,
        "", (Pusher, "depth")),
    Ask("pusher", "lever", "length", "At which radius is the lever of '{}' met, at rest?", CALIPER,
        "half the ⌀ less the depth from the edge", (Pusher, "lever_radius")),
    Ask("pusher", "travel", "length", "How far does '{}' work?", CALIPER, "", (Pusher, "travel")),
    Ask("pusher", "force", "number", "Which force does '{}' need?", BALANCE, "",
        (Pusher, "force"), usual=False),
)  # fmt: skip
ARBORS = (
    Ask("whole", "arbors", "names", "Which arbors are there?", EYE,
        "names with commas, or none", may_lack=True),
    Ask("whole", "pressed", "some", "On which of them is something pressed?", EYE,
        "names with commas, or none", may_lack=True),
)  # fmt: skip
PRESSED = (
    Ask("arbor", "hands", "names", "Which hands are pressed on '{}'?", EYE,
        "such as hour hand, minute hand; none if it is a wheel", may_lack=True),
    Ask("arbor", "height", "level",
        "How far does the outer face of the jewel of '{}' stand above the bridge-side rim face?",
        DEPTH_GAUGE, "negative if it lies below." + ON_DIAL, (Jewel, "height")),
    Ask("arbor", "pivot", "length", "How far does the pivot of '{}' stand out of its jewel?",
        "dial gauge", "0 if it does not", (Jewel, "pivot_protrusion"), may_lack=True),
    Ask("arbor", "pivot diameter", "length", "How thick is that pivot of '{}'?", "pivot gauge",
        "", (Jewel, "pivot_diameter")),
    Ask("arbor", "thickness", "length", "How thick is the jewel of '{}'?", CALIPER, "",
        (Jewel, "thickness"), usual=False),
    Ask("arbor", "oil sink", "length", "How wide is the oil sink of the jewel of '{}'?",
        "measuring loupe", "0 for none", (Jewel, "oil_sink"), usual=False),
    Ask("arbor", "endshake", "length", "How much endshake has '{}'?", "dial gauge", "",
        (Arbor, "endshake"), usual=False),
    Ask("arbor", "push-out", "number", "Which force moves the jewel of '{}' in its hole?", BALANCE,
        "pushed out of a scrap plate", (Jewel, "push_out_force"), usual=False),
)  # fmt: skip
ACROSS = Ask("arbor", "diameter", "length", "How wide is the jewel of '{}'?", "measuring loupe",
             "of an arbor without one its hole", (Jewel, "diameter"))  # fmt: skip
STOCK = (
    Ask("whole", "plate", "length", "How thick is the main plate?", "micrometer",
        "beside the arbors", (PlateStock, "thickness")),
    Ask("whole", "bridges", "length", "How thick are the bridges?", "micrometer",
        "beside the arbors", (PlateStock, "thickness")),
)  # fmt: skip
MASS = Ask("whole", "mass", "number", "How heavy is it?", BALANCE, "", (Sheet, "mass"))
FRAGILE = Ask("whole", "fragile", "names", "What is fragile and must be kept clear of?", EYE,
              "names with commas, such as balance; none if nothing is", may_lack=True)  # fmt: skip
EACH_FRAGILE = (
    Ask("fragile", "diameter", "length", "How wide is '{}' with all that moves?", CALIPER, "",
        (Disc, "diameter")),
    Ask("fragile", "from", "level",
        "From which height above the bridge-side rim face does '{}' reach?", DEPTH_GAUGE,
        "its inner end; negative below that face." + ON_DIAL, (KeepClear, "from_height")),
    Ask("fragile", "to", "level",
        "Up to which height above the bridge-side rim face does '{}' reach?", DEPTH_GAUGE,
        "its outer end." + ON_DIAL, (KeepClear, "to_height")),
    Ask("fragile", "what", "what", "What is '{}' in the trade's words?", EYE, "such as balance",
        usual=False),
)  # fmt: skip
RESTS = Ask("whole", "rests", "names", "Where may it be touched, apart from the rim?", EYE,
            "names with commas, such as barrel bridge; none if nowhere", may_lack=True)  # fmt: skip
EACH_REST = (
    Ask("rest", "diameter", "length", "How wide is the level circle there, '{}'?", CALIPER, "",
        (Disc, "diameter")),
    Ask("rest", "height", "level", "How far does '{}' stand above the bridge-side rim face?",
        DEPTH_GAUGE, "negative if it lies below." + ON_DIAL, (Rest, "height")),
)  # fmt: skip
REMARKS = Ask("whole", "remarks", "text", "Anything else?", EYE, usual=False)


def place_of(thing: Thing) -> tuple[Ask, Ask]:
    """Where a thing lies, and of two places that suit its distances which one."""
    return (
        Ask(thing, "place", "place", "Where does '{}' lie?", CALIPER, PLACES),
        Ask(thing, "near", "hour", "Near which hour does '{}' lie?", EYE),
    )


ALL: tuple[Ask, ...] = (
    *WHOLE, *PUSHER, *ARBORS, *place_of("arbor"), ACROSS, *PRESSED, *STOCK, MASS, FRAGILE,
    *place_of("fragile"), *EACH_FRAGILE, RESTS, *place_of("rest"), *EACH_REST, REMARKS,
)  # fmt: skip
"""Every question, in the order of the bench."""
BY: Mapping[tuple[str, str], Ask] = {(each.thing, each.asks): each for each in ALL}
"""The same by thing and what is asked."""
