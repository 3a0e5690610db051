"""What is known of a print that the tests put into a drawer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from nests.holder.gauging import to_gauge
from nests.holder.recipe import Recipe
from nests.kinds.kept import Readings

LEDGE = 6.9


def readings(
    seat: Sequence[float] = (),
    ledge: float | None = None,
    posts: Mapping[str, float] | None = None,
    **more: Any,
) -> Readings:
    """Readings of a few sizes and of nothing else; `posts` are heights of tips above the bench,
    gauged from the ledge that was gauged, or one as INV 26-A has it drawn."""
    zero = LEDGE if ledge is None else ledge
    sizes = {"seat": tuple(seat)} if seat else {}
    sizes |= {"ledge": (ledge,)} if ledge is not None else {}
    sizes |= {
        f"{name.replace(' ', '-')}-below-ledge": (round(zero - z, 6),)
        for name, z in (posts or {}).items()
    }
    return Readings(sizes=sizes, **more)


def accepted(of: Recipe, *more: Any, **named: Any) -> Readings:
    """Readings of a print that came out as drawn, all of them; those of `readings` before them."""
    rows = to_gauge(of)
    drawn = Readings(
        sizes={row.name: (row.feature.nominal,) for row in rows if not row.tried},
        tried={row.name: "good" for row in rows if row.tried},
    )
    return readings(*more, **named).over(drawn)
