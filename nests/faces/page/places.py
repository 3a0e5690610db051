"""Places by what was read at the bench: the readings stay beside the sheet, and it follows them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from nests.documents.schema import plain
from nests.faces.page import fields
from nests.faces.page.slip import Reads, Row, Slip
from nests.faces.page.work import Work
from nests.given.sheet import Sheet
from nests.given.tools import CALIPER, TOOLS
from nests.kinds import document
from nests.kinds.measured import Measured
from nests.measuring.located import Located
from nests.measuring.on_sheet import (
    balanced,
    base_of,
    by_distances,
    followed,
    let_go,
    read_at,
    read_of,
    spot_at,
    spots,
)
from nests.units import BadInput


def read(work: Work, pointer: str, text: str, near: str) -> Work:
    """The work with a place as it was read; without a text its readings are let go, and it stays
    where it is. Raises `BadInput`."""
    if work.record is None:
        raise BadInput("there is no sheet yet; the sizes stand for it.")
    sheet = work.record
    name = spot_at(sheet, pointer).own[1]
    if not text.strip():
        return _with(work, let_go(sheet, work.readings, pointer), f"readings of {name} let go")
    found, at = read_at(sheet, work.readings, pointer, text, near)
    if at.left or by_distances(found, spot_at(sheet, pointer).own):
        return _with(work, found, f"{name}: {text.strip()}")
    data = fields.put(work.sheet, pointer, plain(at.place))
    made = replace(work, sheet=_own_doubt(data, sheet, pointer, at), did=f"{name}: {text.strip()}")
    return _with(made, let_go(sheet, work.readings, pointer), made.did)


def _own_doubt(data: Any, sheet: Sheet, pointer: str, at: Located) -> Any:
    """A ± that was typed behind a place."""
    for axis, doubt in zip("xy", at.along, strict=True):
        if doubt > sheet.uncertainty:
            data = fields.put(data, "/uncertainties", {**data.get("uncertainties", {}),
                                                       f"{pointer}/{axis}": doubt})  # fmt: skip
    return data


def _with(work: Work, readings: Measured, did: str) -> Work:
    return replace(work, read=document(readings) if readings.answers else None, did=did)


def parted(typed: Mapping[str, str]) -> tuple[dict[str, str], str, str, str]:
    """What was typed of a new thing without its place as it was read, then the pointer of that
    place inside the thing, its text, and the hour it lies near to; a place holds its room."""
    out = dict(typed)
    found = [key for key in out if key.rsplit("/", 1)[-1] == "read"]
    for key in found:
        at, read = key.removesuffix("/read"), out.pop(key)
        near = out.pop(f"{at}/near", "")
        if read.strip():
            kept = {k: v for k, v in out.items() if not k.startswith(f"{at}/")}
            return {**kept, f"{at}/x": "0", f"{at}/y": "0"}, at, read, near
    return out, "", "", ""


def settled(before: Work, after: Work) -> Work:
    """The work after a change, its places where the readings have them. Raises `BadInput` where
    these no longer fix one."""
    if before.sheet is None or after.sheet is None or not (before.read or after.read):
        return after
    if after.sheet is before.sheet and after.read is before.read:
        return after
    old, new = before.record, after.record
    assert old is not None
    assert new is not None
    readings, gone = followed(old, new, after.readings)
    found = balanced(new, readings) if readings.answers else None
    data = dict(after.sheet)
    doubts = dict(new.uncertainties)
    for spot in spots(new):
        if by_distances(after.readings, spot.own) or by_distances(before.readings, spot.own):
            for axis in "xy":
                doubts.pop(f"{spot.pointer}/{axis}", None)
    general = base_of(new, before.readings)
    if old.uncertainty != new.uncertainty:
        general = new.uncertainty
    if found is not None:
        general, doubts = found.general, {**doubts, **found.doubts}
        for pointer, place in found.places.items():
            data = fields.put(data, pointer, plain(place))
    if general != new.uncertainty:
        data["uncertainty"] = general
    data.pop("uncertainties", None)
    if doubts:
        data["uncertainties"] = doubts
    did = after.did
    if gone:
        did += f"; {', '.join(gone)}: its distances are let go, the place stays"
    made = after if data == after.sheet else replace(after, sheet=data)
    return _with(made, readings, did)


def on_slip(made: Slip, work: Work) -> Slip:
    """A slip with what was read of each place that is on it."""
    if work.record is None or not made.at.startswith("sheet:"):
        return made
    groups = [replace(g, rows=tuple(_told(row, work, made.draft) for row in g.rows))
              for g in made.groups]  # fmt: skip
    return replace(made, groups=tuple(groups))


def _told(row: Row, work: Work, draft: bool) -> Row:
    if row.kind != "place" or work.record is None:
        return row
    sheet, readings, pointer = work.record, work.readings, row.at.removeprefix("sheet:")
    names = tuple(dict.fromkeys(each.own[1] for each in spots(sheet)))
    if draft:
        return replace(row, read=Reads(names=names))
    try:
        own = spot_at(sheet, pointer).own
    except BadInput:
        return row
    names = tuple(each for each in names if each != own[1])
    answer, at = read_of(sheet, readings, pointer)
    if answer is None or at is None or not by_distances(readings, own):
        return replace(row, read=Reads(names=names))
    left = tuple((e.says, f"{round(e.residual, 3) + 0.0:+.3f}") for e in at.left)
    usual = answer.doubt == TOOLS[CALIPER]
    doubt = "" if answer.doubt is None or usual else f" ± {answer.doubt:g} with {answer.tool}"
    near = readings.text(*own, "near") or ""
    return replace(row, read=Reads(answer.text + doubt, near, f"{at.doubt:.3f}", left, at.misfit,
                                   names))  # fmt: skip
