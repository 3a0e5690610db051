"""A workpiece while parts of it are not fitted, by the names on its sheet."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from nests.given.dial import DIAL, HANDS
from nests.given.sheet import Arbor, KeepClear, Rest, Sheet


def without(sheet: Sheet, names: Collection[str]) -> Sheet:
    """The workpiece less the keep-clears, arbors and rests of these names, 'dial' and 'hands'.

    A name the sheet does not know takes nothing away; see `unknown`. Once the last keep-clear is
    gone, nothing fragile is left.
    """
    sheet = _undialled(sheet, names)
    known = {each.name for items in _named_parts(sheet).values() for each in items}
    if known.isdisjoint(names):
        return sheet
    kept = {
        key: [i for i, each in enumerate(items) if each.name not in names]
        for key, items in _named_parts(sheet).items()
    }
    pointers = {
        f"/{key}/{old}/": f"/{key}/{new}/"
        for key, indices in kept.items()
        for new, old in enumerate(indices)
    }
    return replace(
        sheet,
        arbors=tuple(sheet.arbors[i] for i in kept["arbors"]),
        rests=tuple(sheet.rests[i] for i in kept["rests"]),
        keep_clear=tuple(sheet.keep_clear[i] for i in kept["keep_clear"]),
        nothing_fragile=sheet.nothing_fragile or bool(sheet.keep_clear and not kept["keep_clear"]),
        uncertainties=_moved(sheet.uncertainties, pointers, tuple(f"/{key}/" for key in kept)),
    )


def _undialled(sheet: Sheet, names: Collection[str]) -> Sheet:
    """The workpiece less its dial, or less the hands on it."""
    about = sheet.dial
    if about is None or not {DIAL, HANDS}.intersection(names):
        return sheet
    off = DIAL in names
    gone = "/dial/" if off else "/dial/hands_height"
    return replace(
        sheet,
        dial=None if off else replace(about, hands_height=0.0),
        uncertainties={k: v for k, v in sheet.uncertainties.items() if not k.startswith(gone)},
        assumed=tuple(each for each in sheet.assumed if not each.startswith(gone)),
    )


def called_nothing(sheet: Sheet, kinds: Collection[str]) -> Sheet:
    """The workpiece of which nothing says any more that it is one of these kinds."""
    if not any(each.what in kinds for items in _named_parts(sheet).values() for each in items):
        return sheet
    return replace(
        sheet,
        **{  # type: ignore[arg-type]
            key: tuple(replace(i, what=None) if i.what in kinds else i for i in items)
            for key, items in _named_parts(sheet).items()
        },
    )


def names(sheet: Sheet) -> tuple[tuple[str, str | None], ...]:
    """All that may be absent, by name, with what of the trade it is: keep-clears, arbors, rests,
    and dial and hands where the sheet has a dial."""
    found: list[tuple[str, str | None]] = [
        (each.name, each.what) for items in _named_parts(sheet).values() for each in items
    ]
    if sheet.dial is not None:
        found.append((DIAL, DIAL))
        if sheet.dial.hands_height != 0.0:
            found.append((HANDS, HANDS))
    return tuple(found)


def unknown(sheet: Sheet, absent: Collection[str]) -> tuple[str, ...]:
    """Those of the names that nothing of the sheet has that may be absent, sorted."""
    return tuple(sorted(set(absent) - {name for name, _ in names(sheet)}))


def _named_parts(sheet: Sheet) -> dict[str, tuple[Arbor | Rest | KeepClear, ...]]:
    """What may be absent, by field."""
    return {"arbors": sheet.arbors, "rests": sheet.rests, "keep_clear": sheet.keep_clear}


def _moved(
    values: Mapping[str, float], pointers: Mapping[str, str], lists: tuple[str, ...]
) -> dict[str, float]:
    """Values whose JSON Pointers follow their list entries; those of entries gone are dropped."""
    out = {}
    for pointer, value in values.items():
        if not pointer.startswith(lists):
            out[pointer] = value
            continue
        head = "/".join(pointer.split("/")[:3]) + "/"
        if head in pointers:
            out[pointers[head] + pointer[len(head) :]] = value
    return out
