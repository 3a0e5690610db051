"""Heights are drawn against the measured scale of the printer, in the files to print and nowhere
else."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from nests.checks import judge
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.holder.compose import compose
from nests.orders.pack import bodies
from nests.papers.report.blocks import Table
from nests.papers.report.holder import holder_report
from nests.printing.mesh_files import stl
from nests.printing.pose import Pose, inverse, moved
from nests.study import Study
from tests.ordering import preferred

SCALE = 0.008
CARD = PrinterCard(
    height_bias=0.03,
    height_bias_slope=SCALE,
    origins={"height_bias_slope": "invented for this test"},
    uncertainties={"height_bias": 0.01, "height_bias_slope": 0.001},
)


def study(card: PrinterCard, pose: Pose | None = None) -> Study:
    recipe = preferred("round", {"diameter": 26.0, "height": 4.6}).recipe
    return Study.of(compose(replace(recipe, printer=card, pose=pose or recipe.pose)))


@pytest.mark.parametrize("pose", [Pose(), Pose(lean=180.0), Pose(lean=90.0), Pose(lift=4.0)])
def test_files_to_print_are_so_much_lower_whichever_way_it_lies(pose: Pose) -> None:
    """Printed, they come out at the height wanted: read by trimesh, times the scale."""
    plain, corrected = study(PrinterCard(), pose), study(CARD, pose)
    solids = [
        trimesh.load(io.BytesIO(stl(bodies(each)[0])), file_type="stl")
        for each in (plain, corrected)
    ]
    (x, y, high), (x_2, y_2, lower) = (each.extents for each in solids)
    assert lower * (1.0 + SCALE) == pytest.approx(high, rel=1e-6)
    assert (x_2, y_2) == pytest.approx((x, y), rel=1e-6)
    assert solids[1].bounds[0][2] == pytest.approx(pose.lift, abs=1e-6)
    # what is found in print is told in the pose of use, and nothing else has moved
    back = moved(inverse(corrected.to_print), moved(corrected.to_print, corrected.mesh.vertices))
    assert np.allclose(back, corrected.mesh.vertices, atol=1e-9)
    assert np.array_equal(corrected.mesh.vertices, plain.mesh.vertices)


def test_it_is_judged_as_level_as_it_is_drawn() -> None:
    found = judge(study(CARD), ("function face", "foot", "overhang"))
    assert [each.grade for each in found] == [Grade.CLEAR] * len(found)
    assert any("level contacts" in each.says for each in found)


def test_paper_says_how_high_it_is_drawn_only_where_that_differs() -> None:
    for card, says in ((PrinterCard(), False), (CARD, True)):
        each = study(card)
        assert each.holder is not None
        report = holder_report(each.holder, each, (), {}, "")
        rows = [row for block in report.blocks if isinstance(block, Table) for row in block.rows]
        told = [row for row in rows if row[0] == "heights"]
        assert bool(told) == says
    ((_, words, origin),) = told
    assert words.startswith("drawn 0.9921 times as high in the files to print")
    assert origin == "invented for this test"
