"""The kinds of document, the record class of each, and reading one from a file.

`python -m nests.kinds` writes the schemas of a checkout anew from the classes.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, TypeVar

from nests.documents.files import canonical, kind_of, read_json, validate
from nests.documents.schema import plain, record, schema_of
from nests.given.operation import WorkPlan
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.kinds.gauge_readings import GaugeReadings
from nests.kinds.kept import KeptHolder
from nests.kinds.measured import Measured
from nests.kinds.plan import Plan
from nests.units import BadInput, Record

R = TypeVar("R", bound=Record)

CLASSES: dict[str, type[Record]] = {
    "sheet": Sheet,
    "work-plan": WorkPlan,
    "printer": PrinterCard,
    "recipe": Recipe,
    "kept-holder": KeptHolder,
    "plan": Plan,
    "measured": Measured,
    "gauge-readings": GaugeReadings,
}


def document(value: Record) -> dict[str, Any]:
    """A record as a document of its kind."""
    kind = next(name for name, cls in CLASSES.items() if type(value) is cls)
    return {"document": kind, "edition": 1, **plain(value)}


def read(path: Path, cls: type[R]) -> R:
    """A record of a wanted class from a file. Raises `BadInput`, a sentence for each fault."""
    kind = next(name for name, each in CLASSES.items() if each is cls)
    return _record(cls, read_json(path), kind, path.name)


def given(value: R | Path | str, cls: type[R]) -> R:
    """A record that was given as it is, or as the path of its document. Raises `BadInput`."""
    if isinstance(value, Path | str):
        return read(Path(value), cls)
    if not isinstance(value, cls):
        raise BadInput(
            f"given is {type(value).__name__}; {cls.__name__} is needed, or the path of one."
        )
    return value


def read_any(path: Path) -> Record:
    """Whatever record a file holds. Raises `BadInput`, a sentence for each fault."""
    data = read_json(path)
    kind = kind_of(data, path.name)
    return _record(CLASSES[kind], data, kind, path.name)


def taken(data: dict[str, Any], cls: type[R], source: str) -> R:
    """A record of a wanted class from data that goes by the name `source`. Raises `BadInput`, a
    sentence for each fault."""
    kind = next(name for name, each in CLASSES.items() if each is cls)
    return _record(cls, data, kind, source)


def _record(cls: type[R], data: dict[str, Any], kind: str, source: str) -> R:
    validate(data, kind, source)
    try:
        return record(cls, data)
    except BadInput as error:
        raise BadInput(*(f"{source}: {each}" for each in error.faults)) from None


def schemas() -> dict[str, bytes]:
    """The schema file of every kind, as shipped."""
    return {f"{kind}.schema.json": canonical(schema_of(cls, kind)) for kind, cls in CLASSES.items()}
