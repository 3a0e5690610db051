"""Documents that cannot be true, each one contradiction planted into an otherwise true one.

`SHEETS`, `PLANS`, `CARDS` and `RECIPES` hold the planted contradictions; `LIVE_WITH` what is hardly
meant and only to mend; `UNLOOKED` what nothing looks at and is said. A fault names the field it is
about as `Class.field`, and what its sentence must say: the field, the value, and what is allowed.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

from nests.documents.files import data_folder
from nests.families import family
from nests.kinds import document
from tests.ordering import preferred as order

Data = dict[str, Any]
Change = Callable[[Data], object]


@dataclass(frozen=True)
class Untrue:
    """One contradiction: its kind, its field, the document it is planted into, and its sentence."""

    kind: str
    field: str
    into: str
    change: Change
    says: tuple[str, ...]

    def data(self) -> Data:
        """The document with the contradiction in it."""
        return planted(sources(self.into), self.change)


def planted(data: Data, change: Change) -> Data:
    """A changed copy of a document."""
    spoilt = copy.deepcopy(data)
    change(spoilt)
    return spoilt


@cache
def _text(name: str) -> str:
    root = data_folder("gallery")
    for folder in ("sheets", "work_plans", "printers"):
        path = root / folder / f"{name}.json"
        if path.is_file():
            return path.read_text("utf-8")
    made, sheet, operation = name.split(" ")
    path = root / "sheets" / f"{sheet}.json"
    options = {"sub_assembly": "INV 26-A auto works"} if sheet == "inv-26-a" else {}
    recipe = order(
        made, options if made == "cradle" else {}, sheet=path, operation=operation or None
    ).recipe
    assert family(made)
    return json.dumps(document(recipe))


def sources(name: str) -> Data:
    """A gallery document, or a recipe as 'family sheet operation'."""
    data: Data = json.loads(_text(name))
    return data


def to(*path_and_value: Any) -> Change:
    """Set what stands under a path of keys and numbers; several in turn, as tuples."""
    changes = path_and_value if isinstance(path_and_value[0], tuple) else (path_and_value,)

    def change(data: Data) -> None:
        for *path, last, value in changes:
            at: Any = data
            for step in path:
                at = at.setdefault(step, {}) if isinstance(at, dict) else at[step]
            at[last] = value

    return change


def more(*path_and_values: Any) -> Change:
    """Add entries to the list under a path."""
    *path, values = path_and_values

    def change(data: Data) -> None:
        at: Any = data
        for step in path[:-1]:
            at = at[step]
        at[path[-1]] = [*(at.get(path[-1], []) if isinstance(at, dict) else at[path[-1]]), *values]

    return change


def place(x: float, y: float) -> Data:
    """A place as it is seen from the dial side, whichever side it is on."""
    return {"x": x, "y": y, "read_from": "dial"}


def disc(x: float, y: float, diameter: float) -> Data:
    """A disc in plan."""
    return {"shape": "disc", "centre": place(x, y), "diameter": diameter}


def polygon(*corners: tuple[float, float]) -> Data:
    """A polygon in plan."""
    return {"shape": "polygon", "corners": [place(x, y) for x, y in corners]}


def rest(name: str, zone: Data, height: float = 0.0, side: str = "bridge") -> Data:
    """A rest."""
    return {"name": name, "side": side, "height": height, "zone": zone}


def keep(name: str, zone: Data, low: float, high: float, side: str = "bridge") -> Data:
    """A keep-clear."""
    return {"name": name, "side": side, "zone": zone, "from_height": low, "to_height": high}


def jewel(diameter: float = 1.2, height: float = 1.0, side: str = "bridge", **more_: Any) -> Data:
    """A jewel."""
    return {"side": side, "diameter": diameter, "height": height, **more_}


def arbor(name: str, x: float, y: float, *jewels: Data) -> Data:
    """An arbor with jewels."""
    return {"name": name, "at": {"x": x, "y": y}, "jewels": list(jewels)}


def corners(*places: tuple[float, float], radius: float | None = None) -> list[Data]:
    """Corners of an outline."""
    return [{"at": {"x": x, "y": y}, "radius": radius} for x, y in places]


A, C, T, U, K = "inv-26-a", "inv-30-c", "inv-17-t", "inv-20-u", "inv-32-k"
QUARTZ = "inv-21-q"
P, W = "inv-27-p", "inv-43-w"
L, R = "inv-13-l", "inv-12-r"
CASE, TC, TOUR = "inv-case-38", "inv-tc-12", "inv-30-t"
ROUND_CASE, CUSHION, LONG = "inv-case-39", "inv-case-36-c", "inv-case-41-l"
FIRST = ("arbors", 0, "jewels", 0)
