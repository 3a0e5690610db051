"""A few recipes of the invented workshop, and a drawer to put them in."""

from __future__ import annotations

from pathlib import Path

import pytest

from nests.documents.files import data_folder
from nests.given.sheet import Sheet
from nests.holder.recipe import Recipe
from nests.kinds import read
from tests.ordering import preferred as order
from tests.prints import accepted, readings

__all__ = ["accepted", "readings"]

GALLERY = data_folder("gallery")


def sheet(name: str) -> Sheet:
    return read(GALLERY / "sheets" / f"{name}.json", Sheet)


def recipe(family: str, name: str, operation: str | None = None, **options: object) -> Recipe:
    path = GALLERY / "sheets" / f"{name}.json" if name else None
    return order(family, options, sheet=path, operation=operation).recipe


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
