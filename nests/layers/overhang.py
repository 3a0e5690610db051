"""One overhang: a region of a layer beyond the reach of the layer below."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from numpy.typing import NDArray

from nests.layers.carriage import Carriage
from nests.layers.linked import Where
from nests.units import Length


@dataclass(frozen=True, eq=False)
class Overhang:
    """A connected region of a layer beyond the reach of the layer below.

    `area` in mm². `span` in mm is, by `carried`: the clear distance between the supports of a
    bridge, the length of a cantilever, the diameter across an island; see `nests.layers.carriage`.
    `free_end` is the length of the farthest cantilevered end, which a bridge too may have.
    `solid` and `below` are the polygons of its layer and of the one below, around `polygon`.
    """

    layer: int
    area: float
    carried: Carriage
    span: Length
    free_end: Length
    where: Where
    polygon: Any
    solid: NDArray[Any]
    below: NDArray[Any]
