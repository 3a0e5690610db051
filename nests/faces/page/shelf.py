"""The drawer on the page: what is filed, shown, gauged, retired, found; each by the functions that
the command line calls."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from nests.drawer import filing, history
from nests.drawer.gauged import gauged, to_gauge_rows
from nests.drawer.search import find, find_diameter
from nests.drawer.shelf import every_holder, path_of, read_holder
from nests.drawer.typed import typed
from nests.faces.page.state import State
from nests.finding import Grade
from nests.kinds.kept import KeptHolder
from nests.lengths import read_length
from nests.orders.drawer_page import drawer_page, in_compartments
from nests.units import BadInput

MOST = 10


class Shelf:
    """One drawer; `shown` is the holder that is looked at, `found` what was searched for."""

    def __init__(self, folder: Path) -> None:
        """A folder, which need not be there yet."""
        self.folder = folder

    def do(self, asked: Mapping[str, Any], state: State) -> dict[str, Any]:
        """A deed: what the page then shows of it. Raises `BadInput`."""
        what, about = asked.get("do"), str(asked.get("id") or "")
        texts = asked.get("fields")
        texts = {str(k): str(v) for k, v in texts.items()} if isinstance(texts, Mapping) else {}
        today = datetime.date.today().isoformat()
        match what:
            case "show":
                return {"at": about}
            case "file":
                return self._file(texts, state, today)
            case "measure":
                recipe = read_holder(path_of(self.folder, about)).recipe
                kept, _ = filing.measure(
                    self.folder, about, typed(_pairs(texts), recipe), date=today
                )
                return {"at": kept.id, "says": f"{kept.id}: the readings are kept."}
            case "retire":
                kept = filing.retire(self.folder, about, texts.get("reason", ""), date=today)
                return {"at": kept.id, "says": f"{kept.id} is retired."}
            case "reinstate":
                kept = filing.reinstate(self.folder, about, date=today)
                return {"at": kept.id, "says": f"{kept.id} is {kept.now.state} again."}
            case "undo":
                step = history.undo(self.folder, date=today)
                return {"at": "", "says": f"'{step.change.did}' of {step.kept.id} is undone."}
            case "redo":
                step = history.redo(self.folder, date=today)
                return {"at": "", "says": f"done again: {step.words()}."}
            case "find":
                return self._find(texts, state)
        raise BadInput("there is no such deed at the drawer.")

    def _file(self, texts: dict[str, str], state: State, today: str) -> dict[str, Any]:
        if state.trial is None or state.faults:
            raise BadInput("there is no holder on the drawing to be filed.")
        note = texts.pop("note", "")
        recipe = state.trial.recipe
        kept = filing.file_holder(
            self.folder, recipe, typed(_pairs(texts), recipe), date=today, note=note
        )
        return {"at": kept.id, "says": f"{kept.id} is filed."}

    def _find(self, texts: dict[str, str], state: State) -> dict[str, Any]:
        if "diameter" in texts:
            across = read_length(texts["diameter"].replace(",", "."), "⌀").mm
            some = find_diameter(self.folder, across, 0.1, carries="movement", most=MOST)
            return {"found": [
                {"id": each.id, "grade": "", "says": (),
                 "words": f"seat {each.bore:.2f} mm{', in the foot' if each.in_foot else ''}, "
                          f"{each.up.value} up, {each.state}"}
                for each in some.matches
            ]}  # fmt: skip
        if state.work.record is None:
            raise BadInput("there is no sheet on the drawing.")
        found = find(self.folder, state.work.record, state.work.chosen, most=MOST)
        out = []
        for each in found.judged:
            says = [f.sentence() for f in each.findings if f.grade.value != "clear"]
            gauged_ = "gauged" if each.seat.gauged else "as drawn"
            words = f"{each.kept.recipe.operation.name}, seat {each.seat.bore:.2f} mm {gauged_}"
            out.append({"id": each.kept.id, "grade": each.grade.value, "says": says[:4],
                        "words": words})  # fmt: skip
        more = f"{found.count} seats come into question, {len(found.judged)} were judged."
        return {"found": out, "more": more}

    def values(self, state: State, told: Mapping[str, Any]) -> dict[str, Any]:
        """All that the page shows of the drawer."""
        holders, unusable = every_holder(self.folder) if self.folder.is_dir() else ((), ())
        at = str(told.get("at", ""))
        kept = next((each for each in holders if each.id == at), None)
        trial = None if state.faults else state.trial
        sheet = state.work.record
        return {
            "folder": str(self.folder), "holders": [_line(e) for e in in_compartments(holders)],
            "unusable": unusable, "at": at, "shown": None if kept is None else _shown(kept),
            "at_hand": None if trial is None else {
                "name": trial.recipe.name, "rows": _rows(to_gauge_rows(trial.recipe))},
            "sheet": "" if sheet is None else sheet.name, "operation": state.work.operation,
            "found": told.get("found"), "more": told.get("more", ""),
        }  # fmt: skip

    def labels(self) -> bytes:
        """Map and labels, as PDF. Raises `BadInput`."""
        holders, _ = every_holder(self.folder) if self.folder.is_dir() else ((), ())
        return drawer_page(holders)


def _pairs(texts: Mapping[str, str]) -> tuple[str, ...]:
    """Readings as they are typed on the command line."""
    return tuple(
        f"{name}={each}" for name, text in texts.items()
        for each in text.replace(",", ".").split() if each
    )  # fmt: skip


def _line(kept: KeptHolder) -> dict[str, str]:
    recipe = kept.recipe
    return {
        "id": kept.id, "calibre": recipe.workpiece.name, "does": recipe.operation.name,
        "up": recipe.side_up.value, "kind": recipe.kind, "state": kept.now.state,
    }  # fmt: skip


def _shown(kept: KeptHolder) -> dict[str, Any]:
    rows = _rows((each.row, each.known()) for each in gauged(kept))
    told = [
        {"grade": each.grade.value, "says": each.says}
        for each in filing.told(kept)
        if each.grade is not Grade.UNKNOWN
    ]  # what is open stands in the rows
    return {**_line(kept), "rows": rows, "told": told}


def _rows(rows: Any) -> list[dict[str, str]]:
    return [
        {"name": row.name, "says": row.feature.says, "limits": row.feature.limits(),
         "known": known}
        for row, known in rows
    ]  # fmt: skip
