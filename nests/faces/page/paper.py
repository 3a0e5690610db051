"""What stands on the paper: each piece of the page as HTML, made from the state of the bench."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from nests.faces.page import fields, lacking, places, plan, slip, told, work
from nests.faces.page.bench import Bench
from nests.faces.page.state import State
from nests.families import family, names
from nests.finding import Grade, worst
from nests.given.operation import USUAL
from nests.given.sheet import Sheet
from nests.kinds import document
from nests.measuring.unlocked import words
from nests.places import Side
from nests.planning.library import names as plan_names
from nests.units import BadInput

PIECES = ("start", "dial", "bridge", "margin", "block")
"""The pieces that every page of the bench is told of."""


@cache
def _environment() -> Environment:
    folder = Path(__file__).parent / "templates"
    made = Environment(
        loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    return made


def filled(template: str, **values: Any) -> str:
    """A template filled in."""
    return _environment().get_template(template).render(**values)


def sheet_of(state: State) -> Sheet | None:
    """What is drawn: the sheet, or what stands in for it."""
    if state.work.record is not None:
        return state.work.record
    return state.trial.recipe.workpiece if state.trial is not None else None


def pieces(bench: Bench, side: Side) -> dict[str, str]:
    """Every piece as it stands now, with the plan of the side that is looked at."""
    state, errand = bench.state, bench.errand
    return {
        "start": start(state.work.empty), side.value: _plan(state, side),
        "margin": _margin(bench, side), "block": _block(state, errand),
        "job": job(bench),
    }  # fmt: skip


@cache
def start(shown: bool) -> str:
    """What is asked where nothing is begun, or something else is to be."""
    by_sizes = [name for name in names() if _sizes(name) >= {"diameter", "height"}]
    return filled("start.html", empty=shown, workshop=work.workshop(), by_sizes=by_sizes)


def _sizes(name: str) -> set[str]:
    return set(getattr(family(name).Wish, "sizes", ()))


_kept: dict[tuple[int, str], tuple[Any, Any, str]] = {}


def _plan(state: State, side: Side) -> str:
    """The plan of a side; it is drawn anew where sheet or holder are others."""
    sheet = sheet_of(state)
    if sheet is None:
        return ""
    key = (0, side.value)
    if key in _kept and _kept[key][0] is sheet and _kept[key][1] is state.trial:
        return _kept[key][2]
    pressed = {}
    if state.trial is not None and not state.faults:
        pressed = dict(state.trial.presses())
    trial = state.trial
    out = filled("plan.html", plan=plan.drawn(sheet, side, trial), pressed=pressed)
    _kept[key] = (sheet, state.trial, out)
    return out


def _files(bench: Bench) -> dict[str, Any] | None:
    """The pack that was taken last of what is shown."""
    step = bench.errand.get("step")
    if bench.errand.get("kind") != "packing" or bench.errand["running"] or not step:
        return None
    name, grade, listed = step
    folder = str(bench.journal.folder / "packs" / name)
    return {"name": name, "grade": grade, "files": listed, "folder": folder}


def _margin(bench: Bench, side: Side) -> str:
    state = bench.state
    sheet = sheet_of(state)
    remarked = told.remarks(state.findings, sheet, state.trial)
    hint = ""
    if state.trial is None and not state.faults and not state.work.empty:
        hint = "Say in the title block what is done, and a holder grows here."
    busy, part = "", None
    if state.choosing:
        busy = "The family tries what may vary, so that less is found ..."
    elif state.trial is not None and not state.faults:
        if state.bench is None:
            busy = "Looking at the bench's side ..."
        elif state.printing is not None:
            busy = f"Looking at the print: {state.printing[2] or 'slicing'} ..."
        part = state.printing[:2] if state.printing is not None else None
    lights = [[n for n in told.names_of(sheet) if f"'{n}'" in says] for says in state.faults]
    workpiece = state.trial.recipe.workpiece if state.trial is not None else None
    groups = [
        (grade, means, [(each, lacking.lacks(each, workpiece, state.work, side)) for each in some])
        for grade, means, some in ([] if state.faults else told.grouped(remarked))
    ]
    bad = any(each.grade in (Grade.STOP, Grade.MEND) for each in state.findings)
    return filled(
        "margin.html", empty=state.work.empty, faults=state.faults, shown=state.trial is not None,
        groups=groups, busy=busy, part=part, lights=lights,
        chose=state.chose, hint=hint, files=_files(bench), news=state.news, by_now=_by_now(state),
        mendable=bad and state.done and state.trial is not None and not state.faults,
    )  # fmt: skip


def _by_now(state: State) -> list[tuple[str, str, str, str]]:
    """What can be made by now: mark, sentence, and for what can be the operation and the family."""
    if state.standing is None:
        return []
    untrue = [("stop", f"cannot be: {each}", "", "") for each in state.standing.untrue]
    usual = {each.name for each in USUAL.operations}
    return untrue + [
        (
            "clear" if each.family else "unknown",
            words(each, (each.operation,)),
            each.operation if each.operation in usual else "",
            each.family,
        )
        for each in state.standing.states
    ]


def _block(state: State, errand: dict[str, Any]) -> str:
    at, sheet = state.work, sheet_of(state)
    verdict, word = "busy", "being looked at"
    if state.faults:
        verdict, word = "stop", "no holder of this"
    elif state.trial is None:
        verdict, word = "unknown", "say what is done"
    elif state.done:
        grade = worst(state.findings)
        verdict, word = grade.value, f"{grade.value}: {told.MEANS[grade]}"
    pack = ""
    if errand.get("kind") == "packing":
        if errand["running"]:
            pack = "drawing, picturing, writing ..."
        elif errand.get("faults"):
            pack = " ".join(errand["faults"])
    return filled(
        "block.html", empty=at.empty, name=sheet.name if sheet else "by sizes", did=at.did,
        work=at, plans=plan_names(), operations=[o.name for o in at.work_plan.operations],
        families=names(), verdict=verdict, verdict_word=word, by_hand=at.recipe is not None,
        serial=state.serial, can_undo=state.can_undo, can_redo=state.can_redo,
        shown=state.trial is not None, faults=state.faults, pack=pack,
    )  # fmt: skip


def plan_made(bench: Bench) -> tuple[str, Any, bytes, Path | None] | None:
    """What the last planning gave: name of the work plan, plan, chart, folder it was written to."""
    made: tuple[str, Any, bytes, Path | None] | None = bench.planned
    return made


def job(bench: Bench) -> str:
    """The job: what is asked, how far it is, what came of it."""
    errand, made, at = bench.errand, bench.planned, bench.state.work
    mine = errand if errand.get("kind") == "planning" else {}
    running, words = bool(mine.get("running")), mine.get("words", "")
    sheet = at.record
    return filled(
        "job_piece.html", name="" if sheet is None else sheet.name, has_sheet=sheet is not None,
        plans=plan_names(), wanted=made[0] if made else "three-hand", running=running, words=words,
        faults=() if running else mine.get("faults", ()), plan=made[1] if made else None,
        folder=str(made[3]) if made and made[3] else "",
    )  # fmt: skip


def slip_at(bench: Bench, pointer: str, side: Side) -> str:
    """The slip of what is pointed at; of '' all that is measured. Raises `BadInput`."""
    state = bench.state
    if state.work.empty:
        return ""
    if not pointer:
        return _index(state, side)
    name, _, path = pointer.partition(":")
    schema, data = _document(state, name)
    made = places.on_slip(slip.slip(name, schema, data, path, side), state.work)
    return filled("slip.html", slip=made, side=side.value)


def draft_at(bench: Bench, pointer: str, side: Side, shape: str) -> str:
    """An empty slip for what is to be added. Raises `BadInput`."""
    name, _, path = pointer.partition(":")
    schema, data = _document(bench.state, name)
    made = places.on_slip(slip.draft(name, schema, data, path, side, shape), bench.state.work)
    return filled("slip.html", slip=made, side=side.value)


def _document(state: State, name: str) -> tuple[str, Any]:
    if name == "options" and state.work.family:
        return f"options.{state.work.family}", dict(state.work.options)
    if name == "recipe" and state.trial is not None:
        return name, state.work.recipe or document(state.trial.recipe)
    if name == "sheet" and state.work.sheet is not None:
        return name, state.work.sheet
    raise BadInput("there is nothing to be read at that place.")


def _index(state: State, side: Side) -> str:
    sheet, at = sheet_of(state), state.work
    adds = []
    if at.sheet is not None:
        root = fields.root_of("sheet")
        for key in slip.USUAL:
            there = at.sheet.get(key)
            if root.inner(key, there).kind == "list" or there is None:
                adds.append((f"sheet:/{key}", slip.one_of(key)))
    parts = []
    if state.trial is not None:
        laid = state.trial.holder.laid[1:]
        parts = [(f"recipe:/parts/{n}", each.label) for n, each in enumerate(laid)]
        parts = [("recipe:/body", "body"), *parts]
    listed = slip.index(sheet, side) if sheet is not None and at.sheet is not None else []
    return filled(
        "slip.html", slip=None, index=listed, adds=adds,
        has_sheet=at.sheet is not None, family=at.family, parts=parts,
        as_sheet=at.sheet is None and state.trial is not None,
    )  # fmt: skip
