"""A place by x and y on something of the bridge side says from which side it was read.

Read with calipers from the bridge side and taken as seen from the dial side, a rest lies at its
mirror image, and no check of a sheet can tell: it lies inside the outline there, too.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from nests.documents.files import canonical, data_folder, schema
from nests.faces.cli import main
from nests.given.sheet import Sheet
from nests.given.zones import Disc
from nests.holder.recipe import Recipe
from nests.kinds import document, read
from nests.orders.order import order
from nests.parts.stake_post import StakePost
from nests.places import Place
from nests.units import BadInput

Data = dict[str, Any]
BARE: Data = {"x": 5.5, "y": 3.0}
JEWEL: Data = {"side": "bridge", "diameter": 1.6, "height": 1.3}
KEEP: Data = {"name": "k", "side": "bridge", "from_height": 0.0, "to_height": 1.0}
REST: Data = {"name": "r", "side": "bridge", "height": 1.2}
BASE: Data = {
    "document": "sheet", "edition": 1, "name": "MINE 26",
    "outline": {"shape": "round", "diameter": 26.0},
    "rim": 1.7, "dial_height": 1.2, "bridge_height": 2.0,
}  # fmt: skip


def disc(at: Data) -> Data:
    return {"shape": "disc", "centre": at, "diameter": 2.0}


def polygon(at: Data) -> Data:
    corners = [{"hour": 1, "radius": 3.0}, at, {"hour": 7, "radius": 3.0}]
    return {"shape": "polygon", "corners": corners}


def ring(at: Data) -> Data:
    return {"shape": "ring", "centre": at, "outer": 3.0, "inner": 1.0}


Holds = Callable[[Data], Data]
MUST: dict[str, tuple[str, Holds]] = {
    "rest, disc": ("rests[0].zone.centre", lambda at: {"rests": [{**REST, "zone": disc(at)}]}),
    "rest, ring": ("rests[0].zone.centre", lambda at: {"rests": [{**REST, "zone": ring(at)}]}),
    "rest, corner": (
        "rests[0].zone.corners[1]",
        lambda at: {"rests": [{**REST, "zone": polygon(at)}]},
    ),
    "keep-clear": (
        "keep_clear[0].zone.centre",
        lambda at: {"keep_clear": [{**KEEP, "zone": disc(at)}]},
    ),
    "arbor with its jewel there": (
        "arbors[0].at",
        lambda at: {"arbors": [{"name": "a", "at": at, "jewels": [JEWEL]}]},
    ),
    "arbor with jewels on both sides": (
        "arbors[0].at",
        lambda at: {
            "arbors": [{"name": "a", "at": at, "jewels": [{**JEWEL, "side": "dial"}, JEWEL]}]
        },
    ),
    "recess of the bridges": (
        "bridges.recesses[0].zone.centre",
        lambda at: {"bridges": {"recesses": [{"zone": disc(at), "thickness": 0.4}]}},
    ),
    "recess of the plate, which has two sides": (
        "plate.recesses[0].zone.centre",
        lambda at: {"plate": {"recesses": [{"zone": disc(at), "thickness": 0.4}]}},
    ),
    "rest of a sub-assembly": (
        "sub_assemblies[0].rests[0].zone.centre",
        lambda at: {
            "sub_assemblies": [
                {
                    **{k: v for k, v in BASE.items() if k not in ("document", "edition")},
                    "kind": "sub-assembly",
                    "rests": [{**REST, "zone": disc(at)}],
                }
            ]
        },
    ),
}
NEED_NOT: dict[str, Holds] = {
    "rest of the dial side": lambda at: {"rests": [{**REST, "side": "dial", "zone": disc(at)}]},
    "keep-clear of the dial side": lambda at: {
        "keep_clear": [{**KEEP, "side": "dial", "zone": disc(at)}]
    },
    "arbor without a jewel": lambda at: {"arbors": [{"name": "a", "at": at}]},
    "arbor with a jewel on the dial side": lambda at: {
        "arbors": [{"name": "a", "at": at, "jewels": [{**JEWEL, "side": "dial"}]}]
    },
    "dial foot": lambda at: {"dial_feet": [{"at": at, "diameter": 0.8, "length": 1.0}]},
    "corner of the outline": lambda at: {
        "outline": {
            "shape": "path",
            "corners": [{"at": at}, {"at": {"x": 0, "y": -9}}, {"at": {"x": -9, "y": 5}}],
        }
    },
}


def read_back(data: Data, folder: Path) -> Sheet:
    path = folder / "sheet.json"
    path.write_text(json.dumps({**copy.deepcopy(BASE), **data}))
    return read(path, Sheet)


@pytest.mark.parametrize("what", MUST)
def test_it_must_say(what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    field, holds = MUST[what]
    with pytest.raises(BadInput) as refused:
        read_back(holds(BARE), tmp_path)
    says = str(refused.value)
    assert f"{field} lacks the field 'read_from'" in says
    assert says.count(". ") == 0
    assert not Draft202012Validator(schema("sheet")).is_valid({**BASE, **holds(BARE)})
    with pytest.raises(SystemExit) as left:
        main(["check", str(tmp_path / "sheet.json")])
    assert left.value.code == 2
    assert field in capsys.readouterr().err


@pytest.mark.parametrize("what", MUST)
def test_said_it_lies_where_it_was_seen(what: str, tmp_path: Path) -> None:
    _, holds = MUST[what]
    seen = [
        read_back(holds({**BARE, "x": x, "read_from": side}), tmp_path)
        for side, x in (("dial", 5.5), ("bridge", -5.5))
    ]
    assert seen[0] == seen[1]
    assert seen[0] != read_back(holds({**BARE, "read_from": "bridge"}), tmp_path)


@pytest.mark.parametrize("what", MUST)
@pytest.mark.parametrize("free", [{"x": 0, "y": 3.0}, {"x": -0.0, "y": 3.0},
                                  {"hour": 2.5, "radius": 5.0}])  # fmt: skip
def test_what_is_the_same_from_both_sides_needs_no_word(
    what: str, free: Data, tmp_path: Path
) -> None:
    assert read_back(MUST[what][1](free), tmp_path)


@pytest.mark.parametrize("what", NEED_NOT)
def test_what_is_plainly_seen_from_the_dial_side_needs_no_word(what: str, tmp_path: Path) -> None:
    holds = NEED_NOT[what]
    assert read_back(holds(BARE), tmp_path) == read_back(
        holds({**BARE, "read_from": "dial"}), tmp_path
    )


def test_a_recipe_says_it_of_every_place_it_keeps(tmp_path: Path) -> None:
    """Written by the program every place says that it is seen from the dial side; without the word
    a post by hand could stand at its mirror image."""
    sheet = data_folder("gallery") / "sheets" / "inv-20-u.json"
    made = order("thin", {"side_up": "dial"}, sheet=sheet, operation="hand-setting").recipe
    rests = {each.name: each.zone for each in made.workpiece.rests}
    parts = tuple(
        replace(part, at=rests[part.under].centre)  # type: ignore[attr-defined]
        if isinstance(part, StakePost) and isinstance(rests.get(part.under), Disc)
        else part
        for part in made.parts
    )
    made = replace(made, parts=parts)
    path, text = tmp_path / "recipe.json", canonical(document(made)).decode()
    path.write_text(text)
    assert read(path, Recipe) == made
    data = json.loads(text)
    placed = [p for p in data["parts"] if isinstance(p.get("at"), dict)]
    placed[0]["at"].pop("read_from")
    path.write_text(json.dumps(data))
    with pytest.raises(BadInput, match=r"parts\[\d+\].at lacks the field 'read_from'"):
        read(path, Recipe)


def test_a_place_made_in_python_is_seen_from_the_dial_side() -> None:
    from nests.documents.schema import plain

    assert plain(Place(3.0, 4.0)) == {"x": 3.0, "y": 4.0, "read_from": "dial"}
