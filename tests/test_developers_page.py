"""The recipes for contributors are tried: their code blocks run and do what they say."""

from __future__ import annotations

import re
import sys
import types
from pathlib import Path

import pytest

from nests.checks._study import Study
from nests.compose import compose
from nests.families.round import stand_in
from nests.finding import Grade
from nests.printer_card import PrinterCard
from nests.schema import schema_of, variants

PAGE = Path(__file__).parent.parent / "DEVELOPERS.md"


@pytest.fixture(scope="module")
def page() -> dict[str, object]:
    blocks = re.findall(r"^```python\n(.*?)^```", PAGE.read_text("utf-8"), re.S | re.M)
    assert len(blocks) == 3
    module = types.ModuleType("developers_page")
    sys.modules["developers_page"] = module
    for block in blocks:
        exec(compile(block, str(PAGE), "exec"), module.__dict__)
    return module.__dict__


def test_part_family_and_check_of_the_page_work(page):
    sheet = stand_in(26.0, 4.6)
    recipe = page["recipe"](sheet, None, page["Wish"](peg=2.4), PrinterCard())
    holder = compose(recipe)
    assert "peg hole at 3 h" in {holder.part_of(f) for f in range(len(holder.mesh.faces))}
    (finding,) = page["check"](Study.of(holder))
    volume_in_ml = holder.solid.volume() / 1000
    assert finding.value == pytest.approx(volume_in_ml * 1.15, rel=1e-9)
    assert finding.grade is Grade.CLEAR


def test_class_statement_alone_registers_a_part(page):
    from nests.parts.base import Part
    from nests.recipe import Recipe

    assert variants(Part)["peg hole"] is page["PegHole"]
    fragment = schema_of(Recipe, "recipe")["$defs"]["PegHole"]["properties"]["diameter"]
    assert (fragment["unit"], fragment["minimum"], fragment["maximum"]) == ("mm", 0.6, 6.0)
