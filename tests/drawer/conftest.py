"""A few recipes of the invented workshop, and a drawer to put them in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest

from nests.documents import data_folder
from nests.gauging import to_gauge
from nests.jobs import order
from nests.kept import Readings
from nests.kinds import read
from nests.recipe import Recipe
from nests.sheet import Sheet

GALLERY = data_folder("gallery")


def sheet(name: str) -> Sheet:
    return read(GALLERY / "sheets" / f"{name}.json", Sheet)


def recipe(family: str, name: str, operation: str | None = None, **options: object) -> Recipe:
    path = GALLERY / "sheets" / f"{name}.json" if name else None
    return order(family, options, sheet=path, operation=operation).recipe


def readings(
    seat: Sequence[float] = (),
    ledge: float | None = None,
    posts: Mapping[str, float] | None = None,
    **more: Any,
) -> Readings:
    """Readings of a few sizes and of nothing else."""
    sizes = {"seat": tuple(seat)} if seat else {}
    sizes |= {"ledge": (ledge,)} if ledge is not None else {}
    sizes |= {f"under-{name.replace(' ', '-')}": (z,) for name, z in (posts or {}).items()}
    return Readings(sizes=sizes, **more)


def accepted(of: Recipe, *more: Any, **named: Any) -> Readings:
    """Readings of a print that came out as drawn, all of them; those of `readings` before them."""
    rows = to_gauge(of)
    drawn = Readings(
        sizes={row.name: (row.feature.nominal,) for row in rows if not row.tried},
        tried={row.name: "good" for row in rows if row.tried},
    )
    return readings(*more, **named).over(drawn)


@pytest.fixture(scope="session")
def hands() -> Recipe:
    """Hand setting of INV 26-A: a post under the centre jewel, two under rests."""
    return recipe("hand-setting", "inv-26-a", "hand-setting")


@pytest.fixture(scope="session")
def plain() -> Recipe:
    """A round holder made without a sheet."""
    return recipe("round", "", diameter=26.0, height=4.6)


@pytest.fixture(scope="session")
def cased() -> Recipe:
    return recipe("case", "inv-case-38")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "drawer"
