"""The recipes for contributors are tried: their code blocks run and do what they say.

In a process of their own, because a class statement registers a part for good.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

PAGE = Path(__file__).parent.parent / "DEVELOPERS.md"

TRIAL = """
from nests.holder.compose import compose
from nests.families.round import stand_in
from nests.parts.base import Part
from nests.documents.schema import schema_of, variants

holder = compose(recipe(stand_in(26.0, 4.6), None, Wish(peg=2.4), PrinterCard()))
assert "peg hole at 3 h" in {holder.part_of(f) for f in range(len(holder.mesh.faces))}
(finding,) = check(Study.of(holder))
assert abs(finding.value - holder.solid.volume() / 1000 * 1.15) < 1e-9, finding
assert finding.grade is Grade.CLEAR, finding

assert variants(Part)["peg hole"] is PegHole
fragment = schema_of(Recipe, "recipe")["$defs"]["PegHole"]["properties"]["diameter"]
assert (fragment["unit"], fragment["minimum"], fragment["maximum"]) == ("mm", 0.6, 6.0), fragment
print("tried")
"""


def test_part_family_and_check_of_the_page_work():
    blocks = re.findall(r"^```python\n(.*?)^```", PAGE.read_text("utf-8"), re.S | re.M)
    assert len(blocks) == 3
    done = subprocess.run(
        [sys.executable, "-c", "\n".join([*blocks, TRIAL])],
        capture_output=True, text=True, cwd=PAGE.parent, check=False,
    )  # fmt: skip
    assert done.stdout == "tried\n", done.stderr
