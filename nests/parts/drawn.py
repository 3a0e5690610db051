"""What a drawing gives of a part: each is found on the solid, or the drawing says that it is lost.

The names stand behind the part's label; '' is the part itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from nests.parts.answers import Lie
from nests.places import Place
from nests.units import Hour, Length


@dataclass(frozen=True)
class Width:
    """Two upright walls that face each other at equal distances from where the part lies, `nominal`
    mm apart; `outside` says that it is given beyond the outer face."""

    name: str
    nominal: Length
    lie: Lie
    outside: bool = True


@dataclass(frozen=True)
class Channel:
    """The base of a channel with a pointed roof, which has no upright wall."""

    lie: Lie
    nominal: Length


@dataclass(frozen=True)
class Tunnel:
    """Lying bores along where the part lies, at a height: the guide of a rod, `nominal` mm ⌀, and
    the pockets beside it; what goes through the guide is `takes` mm ⌀ with a play."""

    lie: Lie
    z: Length
    nominal: Length
    takes: Length
    play: Length


@dataclass(frozen=True)
class Well:
    """An upright bore at a place of the holder, `nominal` mm ⌀; `takes` and `asked` say what goes
    into it, for the table of fits, if anything fits."""

    name: str
    at: Place
    hour: Hour
    nominal: Length
    takes: Length = 0.0
    asked: str = ""


@dataclass(frozen=True)
class Socket:
    """The bore of a post at a place of the holder, as wide as drawn; what goes in is `takes` mm ⌀.

    It is not given in the plan: the table of fits has it, by the number of the post.
    """

    at: Place
    nominal: Length
    takes: Length
    asked: str


@dataclass(frozen=True)
class FreeArm:
    """An arm along the outer face, its slit, and its nose."""

    lie: Lie


@dataclass(frozen=True)
class Hook:
    """A finger with a hook, shown larger where a section goes through it."""

    lie: Lie


@dataclass(frozen=True)
class Bottom:
    """Level faces that look up, given by their heights: a `word` for them."""

    word: str


@dataclass(frozen=True)
class Ceiling:
    """A level face over a room that is cut from below, given by its height where a section goes
    through it: a `word` for it."""

    word: str


@dataclass(frozen=True)
class BelowOpening:
    """What is cut from below and goes round the axis, given by its ⌀."""


Drawn: TypeAlias = (
    Width | Channel | Tunnel | Well | Socket | FreeArm | Hook | Bottom | Ceiling | BelowOpening
)
