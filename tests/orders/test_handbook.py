"""The handbook has a page for every part, family and check, and says what the code says now."""

from __future__ import annotations

from pathlib import Path

import pytest

import nests.parts  # noqa: F401  registers every part
from nests import checks, families
from nests.documents.files import data_folder
from nests.documents.schema import variants
from nests.orders.handbook import pages, shown
from nests.parts.base import Part

FOLDER = data_folder("gallery") / "handbook"


def names(folder: str) -> set[str]:
    return {path.stem for path in (FOLDER / folder).glob("*.md")}


def test_every_part_family_and_check_has_a_page() -> None:
    assert names("parts") == {tag.replace(" ", "-") for tag in variants(Part)}
    assert names("families") == set(families.names())
    assert names("checks") == {name.replace(" ", "-") for name in checks.names()}


def test_pictures_and_pages_that_are_shown_are_there() -> None:
    for page in FOLDER.rglob("*.md"):
        for piece in page.read_text("utf-8").split("](")[1:]:
            target = piece.split(")")[0]
            if target.endswith((".png", ".md")):
                assert (page.parent / target).resolve().is_file(), (page.name, target)


@pytest.mark.slow
def test_pages_say_what_the_code_says() -> None:
    """Rebuild with `python -m nests.orders.handbook` where this fails."""
    found = {page.name: page.text for page in pages(shown())}
    written = {
        path.relative_to(FOLDER).as_posix(): path.read_text("utf-8")
        for path in FOLDER.rglob("*.md")
    }
    assert found == written
    assert all((FOLDER / page).is_file() for page in found)
    assert Path(FOLDER / "README.md").read_text("utf-8").count("](") == len(found) - 1
