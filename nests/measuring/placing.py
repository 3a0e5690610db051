"""The places of a record: what was written of each thing, balanced together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from nests.given.sheet import Jewel
from nests.given.zones import Disc
from nests.kinds.measured import Measured, Thing
from nests.measuring.ground import Edge, Sized, ToPlace
from nests.measuring.located import Located, located
from nests.measuring.reading import halves_of, hour_of, length_of, names_of, outline_of, quantity_of
from nests.measuring.tools import CALIPER, TOOLS
from nests.measuring.written_place import EDGE, Span, Written, written_place
from nests.units import BadInput, Length

PLACED: Mapping[Thing, str] = {"arbor": "arbors", "rest": "rests", "fragile": "fragile"}
"""The things that have places, in the order in which a name is looked for, and the list of each."""


@dataclass(frozen=True)
class Placed:
    """Where the things of a record lie, and why some cannot be placed, in sentences."""

    at: Mapping[tuple[Thing, str], Located]
    why_not: Mapping[tuple[Thing, str], str]


def listed(record: Measured, what: str) -> tuple[str, ...] | None:
    """The names in a list; None where it was not answered."""
    text = record.text("whole", "", what)
    return None if text is None else names_of(text, what)


def things(record: Measured) -> Iterator[tuple[Thing, str]]:
    """Every thing of a record that has a place."""
    for thing, what in PLACED.items():
        yield from ((thing, name) for name in listed(record, what) or ())


def doubt_of(record: Measured, thing: Thing, of: str, asks: str) -> Length:
    """± of an answer, mm; that of a caliper where it says none."""
    found = record.now.get((thing, of, asks))
    doubt = None if found is None else found.doubt
    return (TOOLS[CALIPER] or 0.0) if doubt is None else doubt


def edge_of(record: Measured) -> Edge | None:
    """The edge, once it is measured."""
    text = record.text("whole", "", "diameter")
    if text is None:
        return None
    half = doubt_of(record, "whole", "", "diameter") / 2
    return Edge(tuple(Sized(each, half) for each in halves_of(outline_of(text, "diameter"))))


def named(record: Measured, name: str, own: tuple[Thing, str]) -> tuple[Thing, str]:
    """The thing that a name means, another than `own`. Raises `BadInput` where there is none."""
    for each in things(record):
        if each != own and each[1].casefold() == name.casefold():
            return each
    known = ", ".join(dict.fromkeys(n for t, n in things(record) if (t, n) != own))
    raise BadInput(
        f"the place of '{own[1]}' is measured from '{name}', which is no name of an arbor, a rest "
        f"or anything fragile; there is {known or 'none other'}, and {EDGE}."
    )


def written_of(record: Measured, own: tuple[Thing, str], text: str) -> Written:
    """What was written of a place, each name in it that of a thing. Raises `BadInput`."""
    found = written_place(text, f"{own[1]}: place")

    def known(span: Span) -> Span:
        return span if span.to == EDGE else replace(span, to=_key(named(record, span.to, own)))

    like = _key(named(record, found.like, own)) if found.like else ""
    return replace(found, like=like, spans=tuple(map(known, found.spans)))


def across_of(record: Measured, thing: Thing, name: str) -> Sized | None:
    """The ⌀ of a thing on which jaws may lie; None where it was not measured."""
    text = record.text(thing, name, "diameter")
    if text is None:
        return None
    about = quantity_of(*((Jewel, "diameter") if thing == "arbor" else (Disc, "diameter")))
    value = length_of(text, f"{name}: diameter", about)
    return Sized(value, doubt_of(record, thing, name, "diameter"))


@lru_cache(maxsize=16)
def placed(record: Measured) -> Placed:
    """Where everything lies, as far as it was measured. Raises nothing for what is open."""
    edge = edge_of(record)
    found: dict[str, ToPlace] = {}
    keys: dict[str, tuple[Thing, str]] = {}
    why_not: dict[tuple[Thing, str], str] = {}
    for own in things(record):
        text = record.text(*own, "place")
        if text is None:
            continue
        try:
            written = written_of(record, own, text)
            near = record.text(*own, "near")
            keys[_key(own)] = own
            found[_key(own)] = ToPlace(
                written,
                doubt_of(record, *own, "place"),
                across_of(record, *own),
                None if near is None else hour_of(near, f"{own[1]}: near"),
            )
        except BadInput as bad:
            why_not[own] = str(bad)
    if edge is None:
        return Placed({}, why_not)
    try:
        at = located(edge, found)
    except BadInput:
        at = _one_by_one(edge, found, keys, why_not)
    return Placed({keys[key]: each for key, each in at.items()}, why_not)


def _one_by_one(
    edge: Edge,
    found: Mapping[str, ToPlace],
    keys: Mapping[str, tuple[Thing, str]],
    why_not: dict[tuple[Thing, str], str],
) -> dict[str, Located]:
    """What can be placed, each thing added by itself, and of the others why they cannot."""
    good: dict[str, ToPlace] = {}
    at: dict[str, Located] = {}
    left = dict(found)
    more = True
    while more:
        more = False
        for key, each in list(left.items()):
            if not set(each.written.needs) <= good.keys():
                why_not[keys[key]] = _waits(key, each)
                continue
            try:
                at = located(edge, {**good, key: each})
            except BadInput as bad:
                why_not[keys[key]] = str(bad)
            else:
                good[key] = each
                why_not.pop(keys[key], None)
                more = True
            del left[key]
    return at


def _waits(key: str, each: ToPlace) -> str:
    needs = " and ".join(f"'{name}'" for name in each.written.needs)
    return f"the place of '{key}' is measured from {needs}, of which not all have a place."


def _key(own: tuple[Thing, str]) -> str:
    """One word for a thing among all; a name alone for an arbor."""
    thing, name = own
    return name if thing == "arbor" else f"{name} ({thing})"
