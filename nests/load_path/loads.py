"""What presses on a holder: weights, and the presses of its operation."""

from __future__ import annotations

from dataclasses import dataclass

from nests.given.at_work import pressed
from nests.given.operation import Operation
from nests.parts.site import Site

NO_MASS = "weigh the workpiece on a letter balance and give its mass in g on the sheet"
MASS = ("/mass",)
"""What then lacks of a sheet."""


@dataclass(frozen=True)
class Load:
    """A press: the arbor, its place in the holder frame, holder z, and the most force in N."""

    arbor: str
    at: tuple[float, float]
    z: float
    force: float


def presses(site: Site, operation: Operation) -> tuple[Load, ...]:
    """Every press of an operation, at the highest point of the side that looks up.

    Raises `BadInput` as `at_work.pressed`.
    """
    top = site.frame.z(site.side_up, site.sheet.height(site.side_up))
    out = []
    for name, force in pressed(site.sheet, operation).items():
        at = site.frame.place(site.sheet.arbor(name).at)
        out.append(Load(name, (at.x, at.y), top, force))
    return tuple(out)
