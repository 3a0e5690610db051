"""What presses on a holder: weights, and the presses of its operation."""

from __future__ import annotations

from dataclasses import dataclass

from nests.operation import Operation
from nests.parts.base import Site
from nests.sheet import Sheet
from nests.units import GRAVITY

NO_MASS = "weigh the workpiece on a letter balance and give its mass in g on the sheet"


@dataclass(frozen=True)
class Load:
    """A press: the arbor, its place in the holder frame, holder z, and the most force in N."""

    arbor: str
    at: tuple[float, float]
    z: float
    force: float


def weight(sheet: Sheet) -> float | None:
    """Weight of the workpiece in N; None where its mass is not known."""
    return None if sheet.mass is None else sheet.mass * GRAVITY


def presses(site: Site, operation: Operation) -> tuple[Load, ...]:
    """Every press of an operation, at the highest point of the side that looks up.

    Presses on arbors that the sheet does not have are left out.
    """
    top = site.frame.z(site.side_up, site.sheet.height(site.side_up))
    hardest: dict[str, float] = {}
    for press in operation.presses:
        for arbor in site.sheet.arbors:
            if arbor.name == press.arbor or (press.arbor == "every hand" and arbor.carries):
                hardest[arbor.name] = max(press.hardest, hardest.get(arbor.name, 0.0))
    out = []
    for name, force in hardest.items():
        at = site.frame.place(site.sheet.arbor(name).at)
        out.append(Load(name, (at.x, at.y), top, force))
    return tuple(out)
