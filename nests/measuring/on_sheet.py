"""Places of a sheet that is there already, read by distances: what was read is kept beside it.

The readings are a record of places only. What else such a record has, the ⌀, the names and the ⌀s
that jaws lie on, stands on the sheet and is taken from there, so that every place is balanced by
the functions that balance a record. A place that was typed or pointed at joins the record as it
stands, once something is measured from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from nests.given.sheet import Sheet
from nests.given.zones import Disc, Path, Ring, Round
from nests.kinds.measured import Answer, Measured, Thing
from nests.measuring.answers import answered
from nests.measuring.asking import Question
from nests.measuring.bench import place_of
from nests.measuring.located import Located
from nests.measuring.placing import named, placed
from nests.measuring.tools import CALIPER
from nests.measuring.written_place import EDGE, Written, respanned, written_place
from nests.places import Place
from nests.units import BadInput, Length

GENERAL = "±"
"""What is asked of the whole for the ± of every length: that which the sheet had before a place
with a larger one was read."""
Own = tuple[Thing, str]


@dataclass(frozen=True)
class Spot:
    """A thing with a place: what it is, the pointer of its place, where it lies, the ⌀ jaws lie on;
    the middle is None where there is none or more than one."""

    own: Own
    pointer: str
    at: Place
    across: Length | None
    tip: bool
    """Whether a tip may come to stand there."""


@dataclass(frozen=True)
class Balanced:
    """Places and ± of single values by pointer, the ± of all other lengths, and in sentences which
    reading does not fit."""

    places: Mapping[str, Place]
    doubts: Mapping[str, Length]
    general: Length
    misfits: tuple[str, ...]


def spots(sheet: Sheet) -> Iterator[Spot]:
    """Everything on a sheet that has a name and one place."""
    for n, arbor in enumerate(sheet.arbors):
        wide = {each.diameter for each in arbor.jewels}
        across = wide.pop() if len(wide) == 1 else None
        yield Spot(("arbor", arbor.name), f"/arbors/{n}/at", arbor.at, across, bool(arbor.jewels))
    zones = [("fragile", "keep_clear", n, e) for n, e in enumerate(sheet.keep_clear)]
    zones += [("rest", "rests", n, e) for n, e in enumerate(sheet.rests)]  # type: ignore[misc]
    for thing, key, n, each in zones:
        zone = each.zone
        if isinstance(zone, Disc | Ring):
            across = zone.diameter if isinstance(zone, Disc) else zone.outer
            own: Own = (thing, each.name)  # type: ignore[assignment]
            yield Spot(own, f"/{key}/{n}/zone/centre", zone.centre, across, thing == "rest")


def spot_at(sheet: Sheet, pointer: str) -> Spot:
    """The thing of which a pointer is the place. Raises `BadInput`."""
    found = next((each for each in spots(sheet) if each.pointer == pointer), None)
    if found is None:
        raise BadInput("a place by distances needs a thing with a name: an arbor, a rest or a "
                       "keep-clear that is round.")  # fmt: skip
    return found


def read_at(
    sheet: Sheet, read: Measured, pointer: str, text: str, near: str = ""
) -> tuple[Measured, Located]:
    """The readings with one more place, as it was read, and where that is; `near` the hour it lies
    near to, where two places suit. A place that needs nothing else is not among the readings.
    Raises `BadInput` with one sentence where the readings fix no place."""
    own = spot_at(sheet, pointer).own
    thing, name = own
    where, which = place_of(thing)
    kept = Measured(answers=tuple(e for e in read.answers if (e.thing, e.of) != own))
    whole = record_of(sheet, kept)
    whole = answered(whole, Question(where, name), text)
    mine = [whole.answers[-1]]
    if near.strip():
        whole = answered(whole, Question(which, name), near)
        mine.append(whole.answers[-1])
    found = placed(whole)
    if own in found.why_not:
        raise BadInput(found.why_not[own])
    if own not in found.at:
        raise BadInput(f"the place of '{name}' cannot be told from '{text}'.")
    if found.at[own].others and not near.strip():
        both = sorted((found.at[own].place, *found.at[own].others), key=lambda p: p.hour)
        ways = " or ".join(f"{p.hour:.2f} h, {p.radius:.2f} mm" for p in both)
        raise BadInput(f"two places of '{name}' suit the readings, {ways}: say near which hour it "
                       "lies, or one distance more.")  # fmt: skip
    return _pruned(sheet, Measured(answers=(*kept.answers, *mine))), found.at[own]


def let_go(sheet: Sheet, read: Measured, pointer: str) -> Measured:
    """The readings without those of one place."""
    own = spot_at(sheet, pointer).own
    left = tuple(each for each in read.answers if (each.thing, each.of) != own)
    return _pruned(sheet, Measured(answers=left))


def followed(before: Sheet, after: Sheet, read: Measured) -> tuple[Measured, tuple[str, ...]]:
    """The readings after a change of the sheet, and names of the places of which they no longer
    tell. What is called otherwise now is so in them too; a place that was typed or pointed at, or
    that was measured from what is gone, lies where the sheet has it."""
    if before.uncertainty != after.uncertainty:
        read = with_base(read, after.uncertainty)
    old, new = list(spots(before)), list(spots(after))
    there = {each.own: each.at for each in new}
    called: dict[Own, Own] = {}
    for thing in ("arbor", "fragile", "rest"):
        was = [each.own for each in old if each.own[0] == thing]
        now = [each.own for each in new if each.own[0] == thing]
        if len(was) == len(now):
            called |= {one: two for one, two in zip(was, now, strict=True) if one != two}
    moved = {
        each.own for each in old
        if there.get(called.get(each.own, each.own), each.at).distance(each.at) > 1e-9
    }  # fmt: skip
    answers, gone = [], []
    whole = record_of(before, read)
    for each in read.answers:
        own: Own = (each.thing, each.of)
        if each.thing == "whole":
            answers.append(each)
            continue
        if called.get(own, own) not in there or own in moved:
            continue
        if each.asks == "place":
            meant = _meant(whole, own, written_place(each.text, each.of))
            if any(called.get(one, one) not in there for one in meant.values()):
                gone.append(called.get(own, own)[1])
                continue
            names = {name: called.get(one, one)[1] for name, one in meant.items()}
            each = replace(each, text=respanned(each.text, names))
        answers.append(replace(each, of=called.get(own, own)[1]))
    left = tuple(e for e in answers if e.asks != "near" or e.of not in gone)
    return _pruned(after, Measured(answers=left)), tuple(gone)


def balanced(sheet: Sheet, read: Measured) -> Balanced:
    """Where everything lies by the readings, and how well that is known. Raises `BadInput` where
    they no longer fix a place."""
    found, base = placed(record_of(sheet, read)), base_of(sheet, read)
    places: dict[str, Place] = {}
    doubts: dict[str, Length] = {}
    misfits: list[str] = []
    worst = base
    known = {(each.thing, each.of) for each in read.answers if each.asks == "place"}
    for each in spots(sheet):
        if each.own not in known:
            continue
        if each.own not in found.at:
            raise BadInput(found.why_not.get(each.own, f"'{each.own[1]}' has no place."))
        at = found.at[each.own]
        if at.place.distance(each.at) > 1e-9:
            places[each.pointer] = at.place
        stated = at.doubt if at.left else at.along[0]
        if at.left or stated > base:
            worst = max(worst, stated) if each.tip else worst
            axes = zip("xy", at.along, strict=True)
            doubts |= {f"{each.pointer}/{axis}": round(doubt, 4) for axis, doubt in axes}
        if at.misfit:
            misfits.append(at.misfit)
    general = math.ceil(worst * 1000.0 - 1e-6) / 1000.0
    return Balanced(places, doubts, general, tuple(misfits))


def read_of(sheet: Sheet, read: Measured, pointer: str) -> tuple[Answer | None, Located | None]:
    """What was read of the place at a pointer, and what came of it; None for what was not."""
    own = spot_at(sheet, pointer).own
    found = read.now.get((*own, "place"))
    return found, None if found is None else placed(record_of(sheet, read)).at.get(own)


def by_distances(read: Measured, own: Own) -> bool:
    """Whether a place is told by others, not by itself."""
    text = read.text(*own, "place")
    return text is not None and not _alone(text)


def base_of(sheet: Sheet, read: Measured) -> Length:
    """± of every length before a place was read by distances."""
    text = read.text("whole", "", GENERAL)
    return sheet.uncertainty if text is None else float(text)


def with_base(read: Measured, general: Length) -> Measured:
    """The readings, with the ± of every other length."""
    left = tuple(each for each in read.answers if each.asks != GENERAL)
    return Measured(answers=(Answer(asks=GENERAL, text=f"{general:g}", unit="mm"), *left))


def record_of(sheet: Sheet, read: Measured) -> Measured:
    """A record that says of the places of a sheet what stands there, and of those that were read
    what was read."""
    base, known, all_ = base_of(sheet, read), read.now, [*spots(sheet)]
    some = [each for each in all_ if _can_be_named(each.own[1])]
    doubts = sheet.uncertainties
    out = [Answer(asks="diameter", text=_outline(sheet),
                  doubt=doubts.get("/outline/diameter", base))]  # fmt: skip
    for thing, what in (("arbor", "arbors"), ("rest", "rests"), ("fragile", "fragile")):
        names = dict.fromkeys(each.own[1] for each in some if each.own[0] == thing)
        out.append(Answer(asks=what, text=", ".join(names) or "none"))
    for each in some:
        thing, name = each.own
        if each.across is not None:
            wide = Answer(thing=thing, of=name, asks="diameter", text=_plain(each.across),
                          doubt=doubts.get(_wide(each.pointer), base))  # fmt: skip
            out.append(wide)
        if (thing, name, "place") not in known:
            out.append(_as_it_stands(sheet, each, base))
    return Measured(answers=(*out, *(e for e in read.answers if e.thing != "whole")))


def _as_it_stands(sheet: Sheet, spot: Spot, base: Length) -> Answer:
    """The place of a thing as an answer."""
    text = f"x {_plain(spot.at.x)} y {_plain(spot.at.y)} dial"
    doubt = sheet.uncertainties.get(f"{spot.pointer}/x", base)
    thing, name = spot.own
    return Answer(thing=thing, of=name, asks="place", text=text, unit="mm", tool=CALIPER,
                  doubt=doubt)  # fmt: skip


def _pruned(sheet: Sheet, read: Measured) -> Measured:
    """The readings with the place of everything that something is measured from, and without those
    from which nothing is; the ± of all other lengths as it was before the first."""
    whole, known = record_of(sheet, read), read.now
    texts = {(e.thing, e.of): e.text for e in whole.now.values() if e.asks == "place"}
    by_distance = [own for own in texts if not _alone(texts[own]) and (*own, "place") in known]
    needed = list(by_distance)
    for own in needed:  # grows while it is gone through
        meant = _meant(whole, own, written_place(texts[own], own[1])).values()
        needed += [each for each in meant if each not in needed]
    if not needed:
        return Measured()
    base = base_of(sheet, read)
    answers = [known.get((*own, "place")) or whole.now[(*own, "place")] for own in needed]
    answers += [known[(*own, "near")] for own in needed if (*own, "near") in known]
    return with_base(Measured(answers=tuple(answers)), base)


def _alone(text: str) -> bool:
    """Whether a place is told by itself, not from something else."""
    return written_place(text, "place").at is not None


def _meant(whole: Measured, own: Own, written: Written) -> dict[str, Own]:
    """What a place is measured from: name as written, and the thing it means."""
    names = [written.like] if written.like else [e.to for e in written.spans if e.to != EDGE]
    out: dict[str, Own] = {}
    for name in names:
        try:
            out[name] = named(whole, name, own)
        except BadInput:
            out[name] = ("arbor", name)
    return out


def _wide(pointer: str) -> str:
    """Where the ⌀ stands that jaws lie on."""
    if pointer.startswith("/arbors/"):
        return pointer.removesuffix("/at") + "/jewels/0/diameter"
    return pointer.removesuffix("/centre") + "/diameter"


def _can_be_named(name: str) -> bool:
    """Whether a name can stand in a list of names; one with a comma in it cannot."""
    return not {",", ";"} & set(name) and any(c.isalnum() for c in name)


def _outline(sheet: Sheet) -> str:
    """The edge as it is written at the bench. Raises `BadInput` for one of another shape."""
    edge = sheet.outline
    if isinstance(edge, Round):
        return _plain(edge.diameter)
    corners: Sequence[Place] = [c.at for c in edge.corners] if isinstance(edge, Path) else ()
    x = max((each.x for each in corners), default=0.0)
    y = max((each.y for each in corners), default=0.0)
    square = all(abs(abs(c.x) - x) < 1e-6 and abs(abs(c.y) - y) < 1e-6 for c in corners)
    if len(corners) != 4 or not square or x <= 0.0 or y <= 0.0:
        raise BadInput("places by distances need an edge that is round or an oblong about the "
                       "middle; here x and y, or hour and radius, do.")  # fmt: skip
    return f"{_plain(2 * x)} x {_plain(2 * y)}"


def _plain(value: Length) -> str:
    """A number without an exponent."""
    return f"{value:.10f}".rstrip("0").rstrip(".") or "0"
