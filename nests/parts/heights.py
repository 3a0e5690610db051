"""Heights: from where they are gauged, and how far a print or a hand may leave them.

Where a ledge goes round under the rim, all other heights are gauged from it as it was printed: by
how much it came out too high or low says nothing of how the workpiece lies. Else they are gauged
from the bench. What stands behind a ± on paper is what the load path and the drawer count with:
anything within is as likely as anything else (JCGM 100:2008, *Guide to the expression of
uncertainty in measurement*, 4.3.7).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Protocol

from nests.units import Length

if TYPE_CHECKING:
    from nests.parts.answers import Shelf
    from nests.parts.site import Site


class Shelved(Protocol):
    """What a part answers of a ledge."""

    def shelf(self, site: Site) -> Shelf | None:
        """The ledge that goes round under the rim."""


SETTING: Length = 0.01
"""mm ± to which a pin is set with a height gauge or a screw with a dial indicator; from memory."""


def datum(site: Site, parts: Iterable[Shelved]) -> Length | None:
    """Height of the ledge that tips are gauged from; None where they are gauged from the bench."""
    shelves = (part.shelf(site) for part in parts)
    return next((shelf.level for shelf in shelves if shelf is not None), None)


def level_within(site: Site, height: Length, above: Length | None = None) -> Length:
    """mm ± to which a printed level face comes above the bench, or above another level face:
    both are rounded to whole layers, and both scatter; and what the card's bias is known to."""
    card = site.card
    if above is None:
        known = card.doubt("height_bias", height)
        return abs(card.level_error(height)) + card.scatter + known
    known = card.height_doubt(height, above)
    return abs(card.level_error(height) - card.level_error(above)) + 2 * card.scatter + known
