"""How much of a distance between holder and workpiece may be lost."""

from __future__ import annotations

from dataclasses import dataclass

from nests.given.sheet import Sheet
from nests.parts.site import Site
from nests.units import Length


@dataclass(frozen=True)
class Allowance:
    """What may be lost of a distance between holder and workpiece, mm.

    `play`: how far the workpiece can shift in its seat, half the play on the ⌀. `measuring`: how
    far the workpiece may differ from the sheet. `scatter`: of a printed length. `growth`: how far
    faces come out beyond the drawn ones, from the card's bias; negative where they fall short.
    Play acts sideways only.
    """

    play: Length
    measuring: Length
    scatter: Length
    growth: Length = 0.0

    @property
    def sideways(self) -> Length:
        """All that may be lost in plan."""
        return self.play + self.measuring + self.printed

    @property
    def printed(self) -> Length:
        """What the printer may take, in any direction."""
        return self.scatter + self.growth


def allowance(site: Site, play: Length, measuring: Length | None = None) -> Allowance:
    """Allowance beside a seat with this play on the ⌀, for any printed face; measured as the sheet
    says in general."""
    card, across = site.card, site.across
    return Allowance(
        play=max(play, 0.0) / 2,
        measuring=site.sheet.uncertainty if measuring is None else measuring,
        scatter=card.scatter,
        growth=max(0.0, card.outward(across), card.inward(across)),
    )


def uncertainty(sheet: Sheet, *pointers: str) -> Length:
    """Largest measuring uncertainty, ± mm, of the values under some JSON Pointers (RFC 6901)."""
    return max(_uncertainty(sheet, each) for each in pointers)


def _uncertainty(sheet: Sheet, pointer: str) -> Length:
    if pointer in sheet.uncertainties:
        return sheet.uncertainties[pointer]
    under = [v for k, v in sheet.uncertainties.items() if k.startswith(pointer + "/")]
    return max([sheet.uncertainty, *under])
