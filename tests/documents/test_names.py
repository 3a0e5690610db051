"""A name is one line of letters that can be shown, wherever it is read; a remark may be longer."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from nests.documents.files import data_folder
from nests.documents.schema import hints, is_base, variants
from nests.drawer.filing import file_holder
from nests.faces.cli import main
from nests.given.operation import Operation, Press
from nests.given.sheet import Sheet
from nests.kinds import CLASSES, document, read
from nests.kinds.kept import Readings
from nests.places import Side
from nests.units import BadInput, Record, require_legible
from tests.ordering import preferred as order

GALLERY = data_folder("gallery")
NEVER = {
    "line break": "\n", "carriage return": "\r", "tab": "\t", "zero": "\0", "escape": "\x1b",
    "delete": "\x7f", "next line": "\x85", "line separator": "\u2028",
    "paragraph separator": "\u2029", "half a character": "\udcff",
    "right-to-left override": "\u202e", "isolate": "\u2066", "no character": "\uffff",
}  # fmt: skip


@pytest.mark.parametrize("letter", NEVER.values(), ids=NEVER)
def test_a_name_of_every_kind_of_document_is_refused(letter):
    for made in (
        lambda name: Operation(name=name, side_up=Side.DIAL),
        lambda name: Press(arbor=name),
        lambda name: Readings(gauge=name),
        lambda name: Readings(tried={name: "good"}),
    ):
        made("INV 26 時計 \u00a0½")
        with pytest.raises(BadInput, match=rf"\(U\+{ord(letter):04X}\) cannot stand in it") as said:
            made(f"INV{letter}26")
        assert str(said.value).isprintable()


def kept(tmp_path: Path) -> dict[str, Any]:
    made = order("round", {"diameter": 26.0, "height": 4.6}, sheet=None, operation=None)
    return document(file_holder(tmp_path / "drawer", made.recipe, Readings()))


def names_in(data: Any, *before: str | int) -> Iterator[tuple[str | int, ...]]:
    """Where a document has a name: at any depth."""
    if isinstance(data, dict):
        for key, inner in data.items():
            if key == "name":
                yield (*before, key)
            yield from names_in(inner, *before, key)
    elif isinstance(data, list):
        for place, inner in enumerate(data):
            yield from names_in(inner, *before, place)


@pytest.mark.parametrize("kind", ["sheet", "work-plan", "printer", "recipe", "kept-holder"])
def test_every_name_in_every_document_is_refused_where_it_is_read(tmp_path, capsys, kind):
    """Through the command line: one line, code 2, the letter named."""
    data = kept(tmp_path) if kind in ("recipe", "kept-holder") else {}
    shipped = {"sheet": "sheets/inv-26-a", "work-plan": "work_plans/usual",
               "printer": "printers/bench-printer"}  # fmt: skip
    if kind in shipped:
        data = json.loads((GALLERY / f"{shipped[kind]}.json").read_text("utf-8"))
    elif kind == "recipe":
        data = {"document": "recipe", "edition": 1, **data["recipe"]}
    path, places = tmp_path / "in.json", list(names_in(data))
    assert places
    for place in places:
        spoilt = json.loads(json.dumps(data))
        inner = spoilt
        for step in place[:-1]:
            inner = inner[step]
        inner["name"] = "a\u2028b"
        path.write_text(json.dumps(spoilt), "utf-8")
        with pytest.raises(BadInput, match=r"name is 'a\\u2028b'; a line break \(U\+2028\)"):
            read(path, CLASSES[kind])
    if kind != "kept-holder":
        with pytest.raises(SystemExit) as left:
            main(["check", str(path)])
        assert left.value.code == 2
        assert capsys.readouterr().err.count("\n") == 1


def test_sentences_may_have_several_lines():
    done = Operation(name="x", side_up=Side.DIAL, says="first\n\tthen")
    assert done.says == "first\n\tthen"
    with pytest.raises(BadInput, match="half a character"):
        Operation(name="x", side_up=Side.DIAL, says="\ud800")


@given(st.text(max_size=20))
def test_what_is_taken_can_stand_in_xml(name):
    """lxml refuses what XML 1.0 (2.2) does not allow; whatever is taken must come through."""
    try:
        require_legible(name, "name")
    except BadInput:
        return
    element = etree.Element("name")
    element.text = name
    assert etree.fromstring(etree.tostring(element)).text == (name or None)


def test_every_field_with_text_says_whether_it_may_have_lines():
    """The fields that may; whoever adds one decides it here."""
    found, seen = set(), set()

    def walk(cls: type) -> None:
        if cls in seen:
            return
        seen.add(cls)
        for each in variants(cls).values() if is_base(cls) else ():
            walk(each)
        for each in fields(cls) if not is_base(cls) else ():
            about = each.metadata.get("quantity")
            if about is not None and about.lines:
                found.add(f"{cls.__name__}.{each.name}")
            stack = [hints(cls)[each.name]]
            while stack:
                hint = stack.pop()
                stack += get_args(hint)
                if isinstance(hint, type) and issubclass(hint, Record):
                    walk(hint)

    for cls in CLASSES.values():
        walk(cls)
    assert Sheet in seen
    assert found == {
        "Sheet.remarks", "Press.origin", "Operation.says", "PrinterCard.origins", "Recipe.reasons",
        "GaugeReadings.note",
        "Change.note", "Change.reason", "Plan.says", "Plan.failed", "Plan.unjudged", "Apart.says",
        "PlannedHolder.open_facts", "PlannedHolder.to_buy", "PlannedHolder.mends",
        "InTurn.why", "PlannedOperation.reasons", "RefusedHolder.why", "RefusedHolder.cures",
    }  # fmt: skip
