"""A holder as it is used, in pieces that print alike: what was cut, what was added, what is fitted.

Fitted before use are pins, screws, soft discs and swing tabs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nests.holder.compose import Holder, Laid
from nests.solids.solid import Solid, union
from nests.units import Length


@dataclass(frozen=True)
class Piece:
    """A piece of a holder as used: the label of the part that added it, '' for what was cut.

    `outside` and `inside` are how far its outer faces and those of its bores may come out beyond
    the drawn ones, in mm, from the printer card's bias.
    """

    label: str
    solid: Solid
    outside: Length = 0.0
    inside: Length = 0.0


def pieces(holder: Holder) -> tuple[Piece, ...]:
    """What of a holder was cut from the body, what was added to it, and what is fitted to it."""
    site, card = holder.recipe.site(), holder.recipe.printer
    inside = card.inward(site.across)
    added = [each.shape.adds for each in holder.laid[1:] if each.shape.adds is not None]
    rest = holder.solid - union(added) if added else holder.solid
    out = [Piece("", rest, inside, inside)]
    for number, each in enumerate(holder.laid):
        if number and each.shape.adds is not None:
            left = _left(each.shape.adds, holder.laid[number + 1 :])
            out.append(Piece(each.label, left, card.outward(_across(left)), inside))
    return (*out, *fittings(holder))


def _across(solid: Solid) -> Length:
    """How wide a solid is at most along x or y; 0 for none."""
    x0, y0, _, x1, y1, _ = solid.bounding_box()
    return max(float(x1 - x0), float(y1 - y0), 0.0)


def _left(added: Solid, later: Sequence[Laid]) -> Solid:
    """What is left of an addition after the parts laid later: its share of the holder, found
    without the whole holder."""
    left = added
    for each in later:
        cuts, adds = each.shape.cuts, each.shape.adds
        if cuts is not None and _may_meet(added, cuts):
            left -= cuts
        if adds is not None and _may_meet(added, adds):
            left += added ^ adds
    return left


def _may_meet(one: Solid, two: Solid) -> bool:
    """Whether the boxes about two solids meet."""
    a, b = one.bounding_box(), two.bounding_box()
    return all(a[k] <= b[k + 3] and b[k] <= a[k + 3] for k in range(3))


def fittings(holder: Holder) -> tuple[Piece, ...]:
    """Everything that is fitted, in place; it is turned or milled, and has no bias of a print."""
    site = holder.recipe.site()
    return tuple(
        Piece(laid.label, each.solid) for laid in holder.laid for each in laid.part.fittings(site)
    )
