"""The plan of a job: which holder serves which operation, what is to print, what stands in the
way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from nests.places import Side
from nests.units import Record, prose, quantity, said

State = Literal["in drawer", "to print", "none"]
Condition = Literal["", "in use", "worn"]


@dataclass(frozen=True, kw_only=True)
class PlannedHolder(Record):
    """A holder of the plan."""

    name: str = said("name of the holder")
    engraved: str = said("what is engraved of its operation; none for the name", "")
    state: State = said("whether it is there or to be printed")
    condition: Condition = said("how one that is there stands; none for one to be printed", "")
    family: str = said("family that wrote its recipe", "")
    on: str = said("sub-assembly it carries; none for the sheet's own workpiece", "")
    side_up: Side = said("side that looks up")
    pack: str = said("folder of its pack", "")
    volume: float | None = quantity("mm³", None, 0.0, 1e7, "resin it is made of")
    serves: tuple[str, ...] = said("every operation of the plan it can be used for", ())
    used: tuple[str, ...] = said("operations it is used for", ())
    posts: tuple[str, ...] = said("pressed arbors it has a post under", ())
    grade: Literal["clear", "unknown", "mend", "stop"] = said("gravest finding", "clear")
    open_facts: tuple[str, ...] = prose("what was not assessed, and the fact to measure", ())
    to_buy: tuple[str, ...] = prose("what goes into it and is not printed", ())
    mends: tuple[str, ...] = prose("what works but should change, such as what is worn", ())


@dataclass(frozen=True, kw_only=True)
class PlannedOperation(Record):
    """An operation and the holder it is done in."""

    name: str = said("name of the operation")
    on: str = said("sub-assembly it is done on; none for the sheet's own workpiece", "")
    side_up: Side = said("side that looks up")
    holder: str = said("name of the holder it is done in; none if there is none", "")
    state: State = said("whether that holder is there, to be printed, or there is none")
    reasons: tuple[str, ...] = prose("why there is no holder, or what is still open", ())


@dataclass(frozen=True, kw_only=True)
class InTurn(Record):
    """An operation whose presses no one holder carries; each is done in one of its own."""

    name: str = said("name of the operation in the work plan")
    parts: tuple[str, ...] = said("names of the operations it is done as here, in order", ())
    why: str = prose("why no one holder carries them all")


@dataclass(frozen=True, kw_only=True)
class RefusedHolder(Record):
    """A holder of the drawer that operations cannot be done in, though its size would do."""

    name: str = said("name of the holder")
    operations: tuple[str, ...] = said("operations that cannot be done in it", ())
    why: str = prose("what stands in the way")
    cures: tuple[str, ...] = prose("what would have to be done to it; none if nothing would do", ())


@dataclass(frozen=True, kw_only=True)
class Apart(Record):
    """Operations that cannot share a holder: each of the first with each of the second."""

    first: tuple[str, ...] = said("operations")
    second: tuple[str, ...] = said("operations")
    says: str = prose("why no holder serves both")


@dataclass(frozen=True, kw_only=True)
class Plan(Record):
    """Smallest family of holders for a work plan, and whether the job may start."""

    sheet: str = said("name of the workpiece")
    work: str = said("name of the work plan")
    printer: str = said("name of the printer card")
    may_start: bool = said("whether the job may start once what is to print is printed and proved")
    says: str = prose("the same in one paragraph")
    holders: tuple[PlannedHolder, ...] = said("the holders, those in the drawer first", ())
    operations: tuple[PlannedOperation, ...] = said("the operations in order", ())
    apart: tuple[Apart, ...] = said("what cannot share a holder, and why", ())
    failed: tuple[str, ...] = prose("sets that go together in pairs but failed as a whole", ())
    weight: int = said("weight of the family: see planning.job")
    bound: int = said("weight below which no family can be")
    proven: bool = said(
        "whether that proves the family the smallest, with every holder of the drawer judged"
    )
    unjudged: tuple[str, ...] = prose("holders of the drawer that were not judged, and why", ())
    refused: tuple[RefusedHolder, ...] = said(
        "holders of the drawer that do not serve, and why, those with a cure first", ()
    )
    too_far: tuple[str, ...] = said("holders of the drawer that their sizes rule out", ())
    in_turn: tuple[InTurn, ...] = said("operations that are done press by press", ())
