"""Two calibres of a drawer never come to one mark."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader

from nests.drawer.filing import file_holder, reinstate, retire
from nests.drawer.history import undo
from nests.drawer.index import NAME
from nests.drawer.shelf import every_holder
from nests.orders.drawer_page import drawer_page
from nests.units import BadInput

from .conftest import readings


def of(recipe, name, mark="", **more):
    """The recipe for a workpiece of another name."""
    return replace(recipe, workpiece=replace(recipe.workpiece, name=name, mark=mark, **more))


def test_a_mark_of_another_calibre_is_refused_and_nothing_is_filed(folder, hands):
    first = file_holder(folder, of(hands, "ЯК 26", "YAK 26"), readings())
    with pytest.raises(BadInput) as refused:
        file_holder(folder, of(hands, "yak 26"), readings())
    says = str(refused.value)
    assert "mark of 'yak 26' is 'YAK 26'" in says
    assert f"{first.id} of the sheet 'ЯК 26'" in says
    assert len(every_holder(folder)[0]) == 1


def test_a_sheet_measured_again_files_under_its_mark(folder, hands):
    file_holder(folder, of(hands, "ЯК 26", "YAK 26"), readings())
    file_holder(folder, of(hands, "ЯК 26", "YAK 26", uncertainty=0.03), readings())
    file_holder(folder, of(hands, "ЯК 27", "YAK 27"), readings())
    assert len(every_holder(folder)[0]) == 3


def test_case_and_movement_of_one_mark_are_two_calibres(folder, hands, cased):
    file_holder(folder, of(hands, "one", "A"), readings())
    with pytest.raises(BadInput, match="of the sheet 'one' is engraved so already"):
        file_holder(folder, of(cased, "two", "a"), readings())


def test_a_holder_engraved_when_letters_were_left_out_is_read_as_it_is(folder, hands):
    """Its name has no mark: what stands on it is what the strokes could say."""
    file_holder(folder, of(hands, "ЯК 26 été"), readings())
    with pytest.raises(BadInput, match="of the sheet 'ЯК 26 été'"):
        file_holder(folder, of(hands, "26 ETE"), readings())


def test_a_holder_is_not_brought_back_under_a_mark_that_another_calibre_has_taken(folder, hands):
    old = file_holder(folder, of(hands, "one", "A"), readings())
    retire(folder, old.id, "cracked")
    file_holder(folder, of(hands, "two", "A"), readings())
    with pytest.raises(BadInput, match="of the sheet 'two'"):
        reinstate(folder, old.id)


def test_a_mark_leaves_the_drawer_with_its_last_holder(folder, hands):
    old = file_holder(folder, of(hands, "one", "A"), readings())
    retire(folder, old.id, "cracked")
    file_holder(folder, of(hands, "two", "A"), readings())
    undo(folder)
    undo(folder)  # the first is back, the second never was
    with pytest.raises(BadInput, match="of the sheet 'one'"):
        file_holder(folder, of(hands, "two", "A"), readings())


def test_an_index_without_marks_is_made_anew(folder, hands):
    """As one from before there were marks: its columns are not those of today."""
    file_holder(folder, of(hands, "one", "A"), readings())
    with np.load(folder / NAME, allow_pickle=False) as tables:
        old = dict(tables)
    rows = old["holders"]
    before = [n for n in rows.dtype.names if n not in ("sheet", "mark")]
    old["holders"] = np.array(
        [tuple(row[n] for n in before) for row in rows],
        dtype=[(n, rows.dtype[n]) for n in before],
    )
    with (folder / NAME).open("wb") as out:
        np.savez(out, **old)
    with pytest.raises(BadInput, match="of the sheet 'one'"):
        file_holder(folder, of(hands, "two", "A"), readings())


def test_labels_tell_what_is_engraved(folder, hands):
    recipe = of(hands, "ЯК 26", "YAK 26")
    recipe = replace(recipe, operation=replace(recipe.operation, mark="hands"))
    file_holder(folder, recipe, readings())
    paper = PdfReader(io.BytesIO(drawer_page(every_holder(folder)[0])))
    told = "\n".join(page.extract_text() for page in paper.pages)
    assert told.count("ЯК 26 (engraved YAK 26)") == 2
    assert told.count("hand-setting (engraved HANDS)") == 2
