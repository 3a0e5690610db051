"""Changes of the work: each takes the work and what was asked, and gives the work after it.

What may be is said by the records and by the functions that the command line calls. Raises
`BadInput`; then nothing has changed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, TypeAlias

from nests.documents.files import kind_of
from nests.faces.page import fields
from nests.faces.page.work import Work, of_workshop
from nests.families import family, offered
from nests.given.at_work import at_work
from nests.given.sheet import Sheet
from nests.kinds import document, taken
from nests.orders.trying import Trial, cured
from nests.places import Side, read_place
from nests.units import BadInput

Asked: TypeAlias = Mapping[str, Any]
Change: TypeAlias = Callable[[Work, Asked, Trial | None], Work]
NEW_SHEET = ("name", "diameter", "rim", "dial_height", "bridge_height")


def changed(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """The work after a change. `trial` is the holder as it is shown."""
    name = _text(asked, "do")
    if name not in CHANGES:
        raise BadInput(f"there is no change '{name[:40]}'; there is {', '.join(CHANGES)}.")
    made = CHANGES[name](work, asked, trial)
    made.require()
    return made


def _text(asked: Asked, key: str, default: str = "") -> str:
    value = asked.get(key, default)
    if not isinstance(value, str):
        raise BadInput(f"{key} is no text.")
    return value


def _number(asked: Asked, key: str) -> float:
    value = asked.get(key)
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise BadInput(f"{key} is no number.")
    return round(float(value), 4)


def _side(asked: Asked) -> Side:
    try:
        return Side(_text(asked, "side", "dial"))
    except ValueError:
        raise BadInput("side is 'dial' or 'bridge'.") from None


def _document(work: Work, name: str, trial: Trial | None) -> tuple[str, Any]:
    """The schema's name and the data of the sheet, the options, or the recipe as it is shown."""
    if name == "options":
        return f"options.{work.family}", dict(work.options)
    if name == "recipe":
        if work.recipe is None and trial is None:
            raise BadInput("there is no holder yet.")
        return name, work.recipe or (document(trial.recipe) if trial is not None else None)
    if work.sheet is None:
        raise BadInput("there is no sheet yet; the sizes stand for it.")
    return name, work.sheet


def _with(work: Work, name: str, data: Any, did: str) -> Work:
    if name == "sheet":
        return replace(work, sheet=data, did=did)
    return (
        replace(work, recipe=data, did=did)
        if name == "recipe"
        else replace(work, options=data, recipe=None, did=did)
    )


def _split(pointer: str) -> tuple[str, str]:
    name, _, path = pointer.partition(":")
    return name, path


def _words(pointer: str, data: Any) -> str:
    """What stands at a pointer, by the names of a person."""
    out, value = [], data
    for key in fields.keys_of(pointer):
        value = (
            value[int(key)]
            if isinstance(value, list) and key.isdigit() and int(key) < len(value)
            else value.get(key)
            if isinstance(value, Mapping)
            else None
        )
        named = value.get("name") or value.get("under") if isinstance(value, Mapping) else None
        if named:
            out = [str(named)]
        elif not key.isdigit():
            out.append(key.replace("_", " "))
    return " ".join(out[-2:]) or "sheet"


def _set(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """A field as it was typed."""
    name, pointer = _split(_text(asked, "at"))
    schema, data = _document(work, name, trial)
    node, _ = fields.at(schema, data, pointer)
    words = _words(pointer, data)
    value = fields.read_text(node, _text(asked, "text"), words)
    if value is None and not node.may_lack:
        raise BadInput(f"{words} is needed; {node.meaning}.")
    if name == "options" and value is not None:
        value = _written(work.family, pointer, value, words)
    return _with(work, name, fields.put(data, pointer, value), f"{words}: {_text(asked, 'text')}")


def _written(name: str, pointer: str, value: Any, words: str) -> Any:
    """An option as it is kept, and whether the family takes it by itself."""
    (key,) = fields.keys_of(pointer)
    family(name).Wish(**wish(name, {key: value}))
    return value


def wish(name: str, options: Mapping[str, Any]) -> dict[str, Any]:
    """Options as a family takes them: several numbers that are written as one are read. Raises
    `BadInput`."""
    from nests.documents.schema import hints

    out, types_of = dict(options), hints(family(name).Wish)  # type: ignore[arg-type]
    for key, value in options.items():
        if isinstance(value, list):
            inner = getattr(types_of[key], "__args__", (str,))[0]
            read = getattr(inner, "read", None)
            out[key] = tuple(value) if read is None else tuple(read(each, key) for each in value)
    return out


def _place(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """A place as it was pointed at, seen from a side; of a field that is an hour its hour."""
    name, pointer = _split(_text(asked, "at"))
    schema, data = _document(work, name, trial)
    node, _value = fields.at(schema, data, pointer)
    if "hour" in asked:
        put: Any = {"hour": _number(asked, "hour"), "radius": _number(asked, "radius")}
    else:
        side, x, y = _side(asked), _number(asked, "x"), _number(asked, "y")
        put = {"x": x, "y": y, "read_from": side.value}
        if node.kind != "place":
            put = round(read_place(x, y, side).hour, 4)
    words = _words(pointer, data)
    return _with(work, name, fields.put(data, pointer, put), f"{words} moved")


def _add(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """A new thing from the readings of its slip: texts by pointers inside it."""
    name, pointer = _split(_text(asked, "at"))
    schema, data = _document(work, name, trial)
    node, value = fields.at(schema, data, pointer)
    made = drafted(node.items() if node.kind == "list" else node, asked)
    many = [*(value or ()), made] if node.kind == "list" else made
    what = made.get("name") or pointer.rsplit("/", 1)[-1].replace("_", " ")
    return _with(work, name, fields.put(data, pointer, many), f"{what} added")


def drafted(node: fields.Node, asked: Asked) -> dict[str, Any]:
    """The data of a thing from texts by pointers inside it. Raises `BadInput`."""
    texts = asked.get("fields")
    if not isinstance(texts, Mapping):
        raise BadInput("fields is no set of texts.")
    made: dict[str, Any] = {}
    for pointer, text in sorted(texts.items(), key=lambda pair: pair[0].count("/")):
        if not isinstance(text, str) or not text.strip():
            continue
        keys, here = fields.keys_of(pointer), node
        value: Any = made
        for key in keys:
            if here.kind == "place":
                break
            value = value.get(key) if isinstance(value, Mapping) else None
            here = here.inner(key, value if isinstance(value, Mapping) else _tags(texts, key))
        words = " ".join(keys[-2:]).replace("_", " ")
        if here.kind == "place":
            number = fields.resolved({"type": "number", "unit": "mm"}, here.root, None)
            made = fields.put(made, pointer, fields.read_text(number, text, words))
            if keys[-1] == "x":
                made = fields.put(made, pointer[:-1] + "read_from", _side(asked).value)
        else:
            made = fields.put(made, pointer, fields.read_text(here, text, words))
    return made


def _tags(texts: Mapping[str, Any], key: str) -> dict[str, Any]:
    """The tag that tells which variant is drafted under a key."""
    return {"shape": texts[f"/{key}/shape"]} if f"/{key}/shape" in texts else {}


def _remove(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """Take a thing away."""
    name, pointer = _split(_text(asked, "at"))
    schema, data = _document(work, name, trial)
    _node, value = fields.at(schema, data, pointer)
    if value is None or not pointer:
        raise BadInput("there is nothing to take away.")
    return _with(work, name, fields.put(data, pointer, None), f"{_words(pointer, data)} taken away")


def _new(work: Work, asked: Asked, _: Trial | None) -> Work:
    """A new sheet, from what there is no sheet without."""
    texts = asked.get("fields")
    node = fields.root_of("sheet")
    if not isinstance(texts, Mapping):
        raise BadInput("fields is no set of texts.")
    made: dict[str, Any] = {"document": "sheet", "edition": 1}
    kind = str(texts.get("kind") or "movement")
    if kind != "movement":
        made["kind"] = kind
    for key in NEW_SHEET:
        text = str(texts.get(key, ""))
        words = key.replace("_", " ")
        if not text.strip():
            raise BadInput(f"{words} is needed before a sheet can be drawn.")
        if key == "diameter":
            number = fields.resolved({"type": "number", "unit": "mm"}, node.root, None)
            across = fields.read_text(number, text, words)
            made["outline"] = {"shape": "round", "diameter": across}
        else:
            made[key] = fields.read_text(node.inner(key, None), text, words)
    return Work(sheet=made, plan=work.plan, did=f"new sheet {made['name']}")


def _sizes(work: Work, asked: Asked, _: Trial | None) -> Work:
    """A holder from a few sizes, without a sheet."""
    name = _text(asked, "family", "round")
    texts = asked.get("fields")
    if not isinstance(texts, Mapping):
        raise BadInput("fields is no set of texts.")
    node, options = fields.root_of(f"options.{name}"), {}
    for key, text in texts.items():
        value = fields.read_text(node.inner(str(key), None), str(text), str(key))
        if value is not None:
            options[str(key)] = value
    made = Work(family=name, options=options, did=f"{name} holder by its sizes")
    rule = family(name).Wish(**wish(name, options))
    rule.stand_in(rule.up(None))  # type: ignore[attr-defined]
    return made


def _open(work: Work, asked: Asked, _: Trial | None) -> Work:
    """A sheet or a recipe that was brought, or one of the workshop."""
    if "name" in asked:
        data = of_workshop(_text(asked, "name"))
    else:
        found = asked.get("document")
        if not isinstance(found, dict):
            raise BadInput("the file holds no JSON object; a sheet or a recipe is needed.")
        data = found
    kind = kind_of(data, "the file")
    if kind == "recipe":
        import nests

        recipe = taken(data, nests.Recipe, "the file")
        sheet = document(recipe.workpiece)
        return Work(sheet=sheet, family=recipe.family, recipe=data, did=f"opened {recipe.name}")
    sheet_of = taken(data, Sheet, "the file")
    return Work(sheet=data, plan=work.plan, did=f"opened {sheet_of.name}")


def _say(work: Work, asked: Asked, _: Trial | None) -> Work:
    """What is done on it, and by which family; none said is the one that is offered first."""
    plan = _text(asked, "plan", work.plan)
    operation = _text(asked, "operation", work.operation if plan == work.plan else "")
    name = _text(asked, "family", "" if "operation" in asked else work.family)
    options = _of_family(name, work.options) if work.sheet is None else {}
    made = replace(work, plan=plan, operation=operation, family=name, options=options, recipe=None)
    chosen = made.chosen
    if not name and chosen is not None and made.record is not None:
        ways = offered(at_work(made.record, chosen), chosen)
        if ways:
            made = replace(made, family=ways[0][0], options=dict(ways[0][1].options))
    told = ", ".join(filter(None, (made.operation, made.family and f"{made.family} holder")))
    return replace(made, did=told or "no operation")


def _of_family(name: str, options: Mapping[str, Any]) -> dict[str, Any]:
    """Those of options that a family has too."""
    known = fields.wish_fields(name) if name else {}
    return {key: value for key, value in options.items() if key in known}


def _family_again(work: Work, _: Asked, __: Trial | None) -> Work:
    """What the family chooses, instead of what was overruled."""
    if work.recipe is None:
        raise BadInput("nothing is overruled.")
    return replace(work, recipe=None, did="as the family chooses")


def _mend(work: Work, _: Asked, trial: Trial | None) -> Work:
    """Every remedy applied that may be."""
    if trial is None:
        raise BadInput("there is no holder yet.")
    fresh, says = cured(trial.recipe)
    return replace(work, recipe=document(fresh), did="; ".join(says))


def _as_sheet(work: Work, _: Asked, trial: Trial | None) -> Work:
    """The sizes that stood for a sheet become one, to go on from."""
    if work.sheet is not None or trial is None:
        raise BadInput("there is a sheet already.")
    sheet = document(trial.recipe.workpiece)
    return Work(sheet=sheet, plan=work.plan, did="the sizes become a sheet")


CHANGES: Mapping[str, Change] = {
    "set": _set, "place": _place, "add": _add, "remove": _remove, "new": _new, "sizes": _sizes,
    "open": _open, "say": _say, "choose anew": _family_again, "mend": _mend, "as sheet": _as_sheet,
}  # fmt: skip
"""Every change there is, by its name."""
