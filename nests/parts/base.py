"""What every part of a recipe is, and what it answers about itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from nests.parts.answers import (
    Access,
    Cast,
    Contact,
    Fitting,
    Grip,
    Letters,
    Lie,
    Now,
    Seat,
    Serves,
    Shape,
    Shelf,
    StemWay,
)
from nests.parts.drawn import Drawn
from nests.parts.feature import Feature
from nests.parts.metal import Bought
from nests.parts.post import Post
from nests.parts.site import Site
from nests.solids.solid import Solid
from nests.units import Hour, Length, Record

LITTLE = 8
"""Rank from which a part is cut through in a drawing only where there is nothing else to show."""


@dataclass(frozen=True, kw_only=True)
class Part(Record):
    """One reusable primitive of a recipe.

    It answers for itself: what the other rooms want to know of it they ask here, never its class.
    What every part has to say (`shape`, `lies`, `drawn`, `features`) raises where it is missing;
    the other answers say "nothing of the kind" unless a part says more.
    """

    tag_key: ClassVar[str] = "part"
    casts: ClassVar[bool] = False
    """Whether a pad is cast in it, on which the workpiece is laid."""
    says_side: ClassVar[str | None] = ""
    strokes: ClassVar[bool] = False
    """Whether it is an engraving: its strokes are judged as fine lines, not as walls."""
    takes_workpiece: ClassVar[bool] = False
    """Whether it is the place of the workpiece; a holder has one of them."""
    comfort: ClassVar[str] = ""
    """The option it was asked for by, where no operation needs it; '' for what is needed."""
    goes_round: ClassVar[bool] = False
    """Whether it goes round the axis, so that a clean cut shows it."""
    shown_hidden: ClassVar[bool] = False
    """Whether the plan shows those of its edges that are hidden, too."""
    telling: ClassVar[int] = 0
    """How early a drawing cuts through it, 1 the first; 0 for what need not be cut through."""
    spares: ClassVar[bool] = False
    """Whether it takes material away to spare something, and may take the ledge with it."""
    lets_out: ClassVar[bool] = False
    """Whether resin runs out of a pocket through it."""
    thickens: ClassVar[str] = ""
    """The size a remedy may add to where it is too thin; '' for none."""
    widens: ClassVar[str] = ""
    """The size a remedy may add to where a gap in it is too narrow; '' for none."""
    narrows: ClassVar[str] = ""
    """The size a remedy may take from where what stands beside it is too thin; '' for none."""
    hangs: ClassVar[str] = ""
    """The size of a level underside that a remedy may shorten; '' for none."""

    def label(self) -> str:
        """What findings and pictures call this part; made unique by the composition."""
        return self.tag

    def shape(self, site: Site) -> Shape:
        """What the part adds and cuts. Raises `BadInput` if the sheet lacks what it needs."""
        raise NotImplementedError(f"{type(self).__name__}.shape")

    def lies(self, site: Site) -> Lie | None:
        """Where it lies; None for what goes round the axis or stands at a place."""
        raise NotImplementedError(f"{type(self).__name__}.lies")

    def drawn(self, site: Site) -> tuple[Drawn, ...]:
        """What a drawing gives of it; nothing for what the drawing gives with seats and posts."""
        raise NotImplementedError(f"{type(self).__name__}.drawn")

    def features(self, site: Site) -> tuple[Feature, ...]:
        """What of the part is gauged or tried on the print before a workpiece goes in; nothing for
        what is only looked at."""
        raise NotImplementedError(f"{type(self).__name__}.features")

    def serves(self) -> Serves:
        """What it is for, as far as an operation can ask for it."""
        return Serves()

    def letters(self) -> Letters | None:
        """The letters that the part engraves."""
        return None

    def engraves(self) -> str:
        """The text of its letters; '' for none."""
        found = self.letters()
        return "" if found is None else found.text

    def engraved_at(self, at: Hour, height: Length) -> Part:
        """The same letters at another hour, `height` mm high at most."""
        raise NotImplementedError(f"{type(self).__name__}.engraved_at")

    def require_named(self, site: Site) -> None:
        """Raise `BadInput` if the part names something that the sheet does not have."""

    def stands(self, site: Site) -> tuple[object, ...]:
        """Where it stands or what it is for: two with one answer are one part twice.

        Raises `BadInput` as `require_named`.
        """
        at = getattr(self, "at", None)
        return (self.tag, at % 12.0 if isinstance(at, int | float) else at)

    def contacts(self, site: Site) -> tuple[Contact, ...]:
        """Where the part touches the workpiece."""
        return ()

    def seats(self, site: Site) -> tuple[Seat, ...]:
        """The bores in which a rim is centred, the one of the workpiece first."""
        return ()

    def shelf(self, site: Site) -> Shelf | None:
        """The ledge that goes round under the rim."""
        return None

    def post(self) -> Post | None:
        """The part as a post, where it stands under one jewel or rest."""
        return None

    def holding(self, site: Site) -> Grip | None:
        """How it holds the workpiece from above."""
        if self.serves().holds:
            raise NotImplementedError(f"{type(self).__name__}.holding")
        return None

    def access(self, site: Site, pusher: str) -> Access:
        """How it works a pusher it serves."""
        raise NotImplementedError(f"{type(self).__name__}.access")

    def stem_way(self, site: Site) -> StemWay | None:
        """The way it leaves a stem; None where the workpiece has none."""
        if self.serves().stem:
            raise NotImplementedError(f"{type(self).__name__}.stem_way")
        return None

    def cast(self, site: Site) -> Cast | None:
        """What is cast in it."""
        if self.casts:
            raise NotImplementedError(f"{type(self).__name__}.cast")
        return None

    def fittings(self, site: Site) -> tuple[Fitting, ...]:
        """What is fitted to it, as it lies in use."""
        return ()

    def bought(self, site: Site) -> tuple[Bought, ...]:
        """What of metal and the like is bought for it, cut or drilled."""
        return ()

    def cover(self, site: Site) -> Solid | None:
        """What is laid over the workpiece while nothing is done to it, as it lies then."""
        return None

    def sweeps(self, site: Site) -> tuple[Solid, ...]:
        """What of it moves while the workpiece lies there, each over its whole way."""
        return ()

    def bore_names(self, count: int) -> list[str]:
        """Names of so many bores of a place of the workpiece, from the axis outward; '' for what is
        no bore."""
        raise NotImplementedError(f"{type(self).__name__}.bore_names")

    def turned_alone(self) -> Part | None:
        """What of it a lathe makes, where it goes round; None if that is nothing."""
        return self if self.goes_round else None

    def reread(self, now: Now) -> Part | None:
        """What it means to another workpiece that lies in the print; None where it means nothing
        to that."""
        return self

    def opens(self, site: Site) -> Length | None:
        """How far inside the outline the pocket begins that the part opens down to the floor; None
        if it opens none."""
        return None

    def variants(self, site: Site) -> Iterator[Part | None]:
        """What else it might be where something is in its way, the preferred first; None where it
        may be left out. Nothing that the workpiece asks for changes."""
        return iter(())

    def moved_to(self, hour: Hour) -> Part | None:
        """The same at another hour; None for what lies where the sheet says and nowhere else."""
        return None

    def into(self, site: Site, pocket: Length) -> Part:
        """The part with its way through the wall run on into a pocket that begins `pocket` mm
        inside the outline; itself where it has none."""
        return self

    def leaves_out(self, site: Site) -> tuple[tuple[Hour, Length], ...]:
        """Where it leaves a ledge out, down to the floor: hour and width of each gap."""
        return ()
