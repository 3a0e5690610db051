"""A body that stands, and what tips it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from nests.load_path.loads import Load
from nests.mechanics.rests import SupportPolygon, resultant_place, tipping_force
from nests.solids.volumes import Floats

LEAN = math.radians(10.0)


@dataclass(frozen=True)
class Standing:
    """A body that stands: the polygon it stands on at holder z, its weight, the edge it has.

    `weight` is in N, None where not known; it acts over `centre`. `edge` (n, 2) are the places
    farthest out at which it can be pressed. `best` is whether it stands as far out as it can: on a
    ledge, or on the rests of a sub-assembly, so that it may be as light as it is; `held` whether
    from above too; `rim` is what its edge is called.
    """

    name: str
    polygon: SupportPolygon
    z: float
    weight: float | None
    centre: tuple[float, float]
    edge: Floats
    parts: tuple[str, ...]
    best: bool = False
    held: bool = False
    rim: str = "rim"

    def margin(self, load: Load) -> float:
        """How far inside the polygon the resultant of a press and the weight stays, mm."""
        place = resultant_place([load.force, self.weight or 0.0], [load.at, self.centre])
        return self.polygon.margin(place)

    def wanted(self, load: Load) -> float:
        """Margin taken up when a press leans, mm."""
        return (load.z - self.z) * math.tan(LEAN)

    def tips_at_edge(self, weight: float) -> float:
        """Least force in N that tips it when pressed at its edge; inf if none does."""
        return tipping_force(self.polygon, weight, self.centre, self.edge)
