"""What stands under one jewel or rest and carries it: how the other rooms see it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol, Self

from nests.mechanics.post import StandingPost
from nests.parts.answers import Contact
from nests.parts.feature import Feature
from nests.parts.insert import Insert
from nests.parts.site import Site
from nests.places import Place
from nests.units import Length

METAL = 97_000.0  # MPa, brass; property page
PostKind = Literal["printed", "pin", "screw", "soft"]
SET: tuple[Literal["pin", "screw"], ...] = ("pin", "screw")
"""Kinds of post whose height is set by hand."""


@dataclass(frozen=True)
class Foothold:
    """What a post carries: place in the holder, holder z, widest tip, the pivot to spare, and the
    ⌀ of the oil sink, 0 for none."""

    at: Place
    z: Length
    widest: Length
    pivot: Length
    protrusion: Length
    sink: Length = 0.0


class Post(Protocol):
    """A part that stands under one jewel or rest; `Part.post` gives it."""

    @property
    def under(self) -> str:
        """Name of the arbor or rest it carries."""

    @property
    def kind(self) -> PostKind:
        """What makes the contact."""

    @property
    def tip(self) -> Length:
        """⌀ of a printed contact."""

    @property
    def insert(self) -> Length:
        """⌀ of pin, screw or soft disc."""

    @property
    def insert_out(self) -> Length:
        """How far the insert stands out."""

    @property
    def short(self) -> Length:
        """How short of contact it is drawn; negative is proud."""

    @property
    def relief(self) -> Length:
        """Room round and under a pivot."""

    @property
    def wide(self) -> Length:
        """⌀ of what meets the workpiece."""

    def label(self) -> str:
        """What findings call it."""

    def foothold(self, site: Site) -> Foothold:
        """The jewel or rest above it."""

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """Its tip."""

    def standing(self, site: Site) -> StandingPost:
        """What a press on the tip runs down through."""

    def stiffness(self, site: Site) -> float:
        """Stiffness in N/mm, with what the floor gives."""

    def height_within(self, site: Site, datum: Length | None = None) -> Length:
        """mm ± to which the height of the finished post comes, from a ledge drawn at `datum`."""

    def tip_feature(self, site: Site) -> Feature:
        """The height of its tip, as it is gauged."""

    def inserted(self, site: Site) -> Insert | None:
        """What stands in its bore."""

    def as_kind(self, kind: PostKind) -> Self:
        """The same post with another kind of contact."""

    def drawn_short(self, short: Length) -> Self:
        """The same post drawn so short of contact."""
