"""The recipes for contributors are tried: each block, in a file of its own, passes ruff, runs, and
does what it says.

In a process of their own, because a class statement registers a part for good.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

PAGE = Path(__file__).parent.parent / "DEVELOPERS.md"
BLOCKS = re.findall(r"^```python\n(.*?)^```", PAGE.read_text("utf-8"), re.S | re.M)
FILES = ("nests/parts/peg_hole.py", "nests/families/pegged.py", "nests/checks/bench/mass.py")

TRIAL = """
import sys
from importlib import import_module
from types import ModuleType

for file in FILES:
    name = file.removesuffix(".py").replace("/", ".")
    module = ModuleType(name)
    module.__file__ = file
    sys.modules[name] = module
    exec(compile(BLOCKS[file], file, "exec"), vars(module))

from nests.documents.schema import schema_of, variants
from nests.drawer.typed import typed
from nests.families.round import stand_in
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.holder.compose import compose
from nests.holder.gauging import to_gauge
from nests.holder.recipe import Recipe
from nests.orders.pack import build
from nests.papers.drawing import model
from nests.papers.drawing.values import Text
from nests.parts.base import Part
from nests.study import Study

pegged, check = sys.modules["nests.families.pegged"], sys.modules["nests.checks.bench.mass"].check
PegHole = sys.modules["nests.parts.peg_hole"].PegHole
recipe = pegged.recipe(stand_in(26.0, 4.6), None, pegged.Wish(peg=2.4), PrinterCard())
holder = compose(recipe)
assert "peg hole at 3 h" in {holder.part_of(f) for f in range(len(holder.mesh.faces))}
(finding,) = check(Study.of(holder))
assert abs(finding.value - holder.solid.volume() / 1000 * 1.15) < 1e-9, finding
assert finding.grade is Grade.CLEAR, finding

assert variants(Part)["peg hole"] is PegHole
fragment = schema_of(Recipe, "recipe")["$defs"]["PegHole"]["properties"]["diameter"]
assert (fragment["unit"], fragment["minimum"], fragment["maximum"]) == ("mm", 0.6, 6.0), fragment

# drawing: both by their ⌀, and in the table of fits; acceptance, drawer, report
drawing = model(holder)
for hour in (3, 9):
    given = next(d for d in drawing.dimensions if d.name == f"peg hole at {hour} h")
    assert abs(given.value - PrinterCard().inside(2.4)) < 0.01, given
(fits,) = [block for block in drawing.blocks if block.name == "fits"]
texts = [item.words for item in fits.items if isinstance(item, Text)]
assert {"peg hole at 3 h", "peg hole at 9 h", "peg", "⌀2.40"} <= set(texts), texts
rows = {row.name: row for row in to_gauge(recipe)}
assert rows["peg-hole-3"].feature.limits() == "2.40 ± 0.03 mm", rows["peg-hole-3"]
assert typed(("peg-hole-3=2.41",), recipe).mean("peg-hole-3") == 2.41
assert "⌀ of the peg hole at 9" in build(recipe).files["report.html"].decode()
print("tried")
"""


def test_part_family_and_check_of_the_page_work() -> None:
    blocks = dict(zip(FILES, BLOCKS, strict=True))
    trial = f"FILES = {FILES!r}\nBLOCKS = {blocks!r}\n{TRIAL}"
    done = subprocess.run(
        [sys.executable, "-c", trial], capture_output=True, text=True, cwd=PAGE.parent, check=False
    )
    assert done.stdout == "tried\n", done.stderr


@pytest.mark.parametrize("number", range(len(FILES)))
def test_a_block_passes_ruff_by_itself(number: int) -> None:
    for command in (["check"], ["format", "--check"]):
        done = subprocess.run(
            [sys.executable, "-m", "ruff", *command, "--stdin-filename", FILES[number], "-"],
            input=BLOCKS[number], capture_output=True, text=True, cwd=PAGE.parent, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stdout + done.stderr
