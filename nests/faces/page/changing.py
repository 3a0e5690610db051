"""Changes of the work: each takes the work and what was asked, and gives the work after it.

What may be is said by the records and by the functions that the command line calls. Raises
`BadInput`; then nothing has changed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, TypeAlias

from nests.faces.page import beginning, fields, places
from nests.faces.page.asked import Asked, number, side, text, texts, wish
from nests.faces.page.work import Work
from nests.families import family
from nests.finding import Finding
from nests.kinds import document
from nests.orders.trying import Trial, cured, cured_of
from nests.places import read_place
from nests.units import BadInput

FRESH = ("new", "sizes", "open", "as sheet")
"""Changes by which another sheet lies on the bench."""
Change: TypeAlias = Callable[[Work, Asked, Trial | None], Work]


def changed(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """The work after a change. `trial` is the holder as it is shown."""
    name = text(asked, "do")
    if name not in CHANGES:
        raise BadInput(f"there is no change '{name[:40]}'; there is {', '.join(CHANGES)}.")
    made = CHANGES[name](work, asked, trial)
    made.require()
    if name not in FRESH:
        made = places.settled(work, made)
        made.require()
    return made


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
    name, pointer = _split(text(asked, "at"))
    schema, data = _document(work, name, trial)
    node, _ = fields.at(schema, data, pointer)
    words = _words(pointer, data)
    value = fields.read_text(node, text(asked, "text"), words)
    if value is None and not node.may_lack:
        raise BadInput(f"{words} is needed; {node.meaning}.")
    if name == "options" and value is not None:
        value = _written(work.family, pointer, value, words)
    fresh = fields.put(data, pointer, value)
    if name == "sheet":
        fresh = _known(fresh, pointer)
    return _with(work, name, fresh, f"{words}: {text(asked, 'text')}")


def _written(name: str, pointer: str, value: Any, words: str) -> Any:
    """An option as it is kept, and whether the family takes it by itself."""
    (key,) = fields.keys_of(pointer)
    family(name).Wish(**wish(name, {key: value}))
    return value


def _place(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """A place as it was pointed at, seen from a side; of a field that is an hour its hour."""
    name, pointer = _split(text(asked, "at"))
    schema, data = _document(work, name, trial)
    node, _value = fields.at(schema, data, pointer)
    if "hour" in asked:
        put: Any = {"hour": number(asked, "hour"), "radius": number(asked, "radius")}
    else:
        seen, x, y = side(asked), number(asked, "x"), number(asked, "y")
        put = {"x": x, "y": y, "read_from": seen.value}
        if node.kind != "place":
            put = round(read_place(x, y, seen).hour, 4)
    words, fresh = _words(pointer, data), fields.put(data, pointer, put)
    if name == "sheet":
        fresh = _known(fresh, pointer, *(f"{pointer}/{axis}" for axis in "xy"))
    return _with(work, name, fresh, f"{words} moved")


def _looked(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """What was assumed was looked at, and is so."""
    name, pointer = _split(text(asked, "at"))
    _, data = _document(work, "sheet", trial)
    if name != "sheet" or pointer not in data.get("assumed", ()):
        raise BadInput("that was not assumed.")
    return _with(work, name, _known(data, pointer), f"{_words(pointer, data)} looked at")


def _known(data: Any, *pointers: str) -> Any:
    """A sheet on which that is no longer assumed."""
    left = [each for each in data.get("assumed", ()) if each not in pointers]
    out = {key: value for key, value in data.items() if key != "assumed"}
    return {**out, "assumed": left} if left else out


def _read(work: Work, asked: Asked, _: Trial | None) -> Work:
    """A place as it was read: by hour and radius, x and y, or distances from others."""
    name, pointer = _split(text(asked, "at"))
    if name != "sheet":
        raise BadInput("only places on a sheet are measured.")
    return places.read(work, pointer, text(asked, "text"), text(asked, "near"))


def _add(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """A new thing from the readings of its slip: texts by pointers inside it."""
    name, pointer = _split(text(asked, "at"))
    schema, data = _document(work, name, trial)
    node, value = fields.at(schema, data, pointer)
    typed, at, read, near = places.parted(texts(asked))
    made = drafted(node.items() if node.kind == "list" else node, {**asked, "fields": typed})
    many = [*(value or ()), made] if node.kind == "list" else made
    what = made.get("name") or pointer.rsplit("/", 1)[-1].replace("_", " ")
    fresh = fields.put(data, pointer, many)
    out = _with(work, name, _known(fresh, pointer) if name == "sheet" else fresh, f"{what} added")
    if name == "sheet" and read:
        out.require()
        where = f"{pointer}/{len(many) - 1}{at}"
        out = replace(places.read(out, where, read, near), did=f"{what} added, {read}")
    return out


def drafted(node: fields.Node, asked: Asked) -> dict[str, Any]:
    """The data of a thing from texts by pointers inside it. Raises `BadInput`."""
    typed = texts(asked)
    made: dict[str, Any] = {}
    for pointer, each in sorted(typed.items(), key=lambda pair: pair[0].count("/")):
        if not each.strip():
            continue
        keys, here = fields.keys_of(pointer), node
        value: Any = made
        for key in keys:
            if here.kind == "place":
                break
            value = value.get(key) if isinstance(value, Mapping) else None
            here = here.inner(key, value if isinstance(value, Mapping) else _tags(typed, key))
        words = " ".join(keys[-2:]).replace("_", " ")
        if here.kind == "place":
            plain = fields.resolved({"type": "number", "unit": "mm"}, here.root, None)
            made = fields.put(made, pointer, fields.read_text(plain, each, words))
            if keys[-1] == "x":
                made = fields.put(made, pointer[:-1] + "read_from", side(asked).value)
        else:
            made = fields.put(made, pointer, fields.read_text(here, each, words))
    return made


def _tags(texts: Mapping[str, Any], key: str) -> dict[str, Any]:
    """The tag that tells which variant is drafted under a key."""
    return {"shape": texts[f"/{key}/shape"]} if f"/{key}/shape" in texts else {}


def _remove(work: Work, asked: Asked, trial: Trial | None) -> Work:
    """Take a thing away."""
    name, pointer = _split(text(asked, "at"))
    schema, data = _document(work, name, trial)
    _node, value = fields.at(schema, data, pointer)
    if value is None or not pointer:
        raise BadInput("there is nothing to take away.")
    fresh = fields.put(data, pointer, None)
    if name == "sheet":
        doubts = fresh.get("uncertainties", {})
        kept = fields.without_item(doubts, pointer)
        if doubts:
            fresh["uncertainties"] = {there: doubts[was] for was, there in kept.items()}
        if assumed := fresh.get("assumed"):
            fresh["assumed"] = [*fields.without_item(assumed, pointer).values()]
    return _with(work, name, fresh, f"{_words(pointer, data)} taken away")


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


def mended(work: Work, finding: Finding, trial: Trial | None) -> Work:
    """The remedy of one finding applied. Raises `BadInput` where none applies."""
    if trial is None:
        raise BadInput("there is no holder yet.")
    fresh, says = cured_of(trial.recipe, finding)
    made = replace(work, recipe=document(fresh), did=says)
    made.require()
    return made


CHANGES: Mapping[str, Change] = {
    "new": beginning.new,
    "sizes": beginning.sizes,
    "open": beginning.opened,
    "as sheet": beginning.as_sheet,
    "say": beginning.say,
    "set": _set,
    "place": _place,
    "read": _read,
    "looked": _looked,
    "add": _add,
    "remove": _remove,
    "choose anew": _family_again,
    "mend": _mend,
}
"""Every change there is, by its name."""
