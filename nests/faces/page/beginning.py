"""How work begins: a new sheet, a few sizes, a document that exists; and what is done on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import nests
from nests.documents.files import kind_of
from nests.documents.schema import plain
from nests.faces.page import fields
from nests.faces.page.asked import Asked, text, texts, wish, written
from nests.faces.page.work import Work, of_workshop
from nests.families import family, offered
from nests.given.at_work import at_work
from nests.given.sheet import Sheet
from nests.kinds import document, taken
from nests.measuring.bench import BY
from nests.measuring.reading import length_of
from nests.measuring.sheet_of import level_rim
from nests.orders.trying import Trial
from nests.places import Side
from nests.units import BadInput

NEW_SHEET = ("name", "diameter", "rim", "dial_height", "bridge_height")
"""What there is no sheet without."""


def new(work: Work, asked: Asked, _: Trial | None) -> Work:
    """A new sheet, from what there is no sheet without."""
    typed = texts(asked)
    node = fields.root_of("sheet")
    made: dict[str, Any] = {"document": "sheet", "edition": 1}
    kind = typed.get("kind") or "movement"
    if kind != "movement":
        made["kind"] = kind
    for key in NEW_SHEET:
        each = typed.get(key, "")
        words = key.replace("_", " ")
        if not each.strip():
            raise BadInput(f"{words} is needed before a sheet can be drawn.")
        if key == "diameter":
            number = fields.resolved({"type": "number", "unit": "mm"}, node.root, None)
            across = fields.read_text(number, each, words)
            made["outline"] = {"shape": "round", "diameter": across}
        else:
            made[key] = fields.read_text(node.inner(key, None), each, words)
    if (level := typed.get("rim_level", "")).strip():
        about = BY["whole", "rim level"].about
        wide = length_of(level.strip(), "rim level", about)
        outline = taken(made, Sheet, "sheet").outline
        made["rests"] = [plain(each) for each in level_rim(outline, None, Side.BRIDGE, wide)]
    return Work(sheet=made, plan=work.plan, did=f"new sheet {made['name']}")


def sizes(work: Work, asked: Asked, _: Trial | None) -> Work:
    """A holder from a few sizes, without a sheet."""
    name = text(asked, "family", "round")
    typed = texts(asked)
    node, options = fields.root_of(f"options.{name}"), {}
    for key, each in typed.items():
        if not each.strip():
            continue
        of = node.inner(key, None)
        many = of.kind == "list"
        options[key] = written(name, key, each) if many else fields.read_text(of, each, key)
    made = Work(family=name, options=options, did=f"{name} holder by its sizes")
    rule = family(name).Wish(**wish(name, options))
    rule.stand_in(rule.up(None))  # type: ignore[attr-defined]
    return made


def opened(work: Work, asked: Asked, _: Trial | None) -> Work:
    """A sheet or a recipe that was brought, or one of the workshop."""
    if "name" in asked:
        data = of_workshop(text(asked, "name"))
    else:
        found = asked.get("document")
        if not isinstance(found, dict):
            raise BadInput("the file holds no JSON object; a sheet or a recipe is needed.")
        data = found
    kind = kind_of(data, "the file")
    if kind == "recipe":
        recipe = taken(data, nests.Recipe, "the file")
        sheet = document(recipe.workpiece)
        return Work(sheet=sheet, family=recipe.family, recipe=data, did=f"opened {recipe.name}")
    sheet_of = taken(data, Sheet, "the file")
    return Work(sheet=data, plan=work.plan, did=f"opened {sheet_of.name}")


def say(work: Work, asked: Asked, _: Trial | None) -> Work:
    """What is done on it, and by which family; none said is the one that is offered first."""
    plan = text(asked, "plan", work.plan)
    operation = text(asked, "operation", work.operation if plan == work.plan else "")
    name = text(asked, "family", "" if "operation" in asked else work.family)
    options = _of_family(name, work.options) if work.sheet is None else {}
    made = replace(work, plan=plan, operation=operation, family=name, options=options, recipe=None)
    chosen = made.chosen
    if "operation" in asked and chosen is not None and made.record is not None:
        ways = offered(at_work(made.record, chosen), chosen)
        if name:
            ways = tuple(each for each in ways if each[0] == name)
        if ways:
            made = replace(made, family=ways[0][0], options=dict(ways[0][1].options))
    told = ", ".join(filter(None, (made.operation, made.family and f"{made.family} holder")))
    return replace(made, did=told or "no operation")


def _of_family(name: str, options: Mapping[str, Any]) -> dict[str, Any]:
    """Those of options that a family has too."""
    known = fields.wish_fields(name) if name else {}
    return {key: value for key, value in options.items() if key in known}


def as_sheet(work: Work, _: Asked, trial: Trial | None) -> Work:
    """The sizes that stood for a sheet become one, to go on from."""
    if work.sheet is not None or trial is None:
        raise BadInput("there is a sheet already.")
    sheet = document(trial.recipe.workpiece)
    return Work(sheet=sheet, plan=work.plan, did="the sizes become a sheet")
