"""The gauge plate: what is on it, measured by other libraries, and what the checks say of it."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache

import lib3mf
import numpy as np
import pypdfium2
import pytest
import shapely
import trimesh

from nests.checks import judge
from nests.finding import Grade
from nests.gauge import table
from nests.gauge.drawing import drawing, top_at
from nests.gauge.fitting import fit
from nests.gauge.pack import GaugePack, gauge_pack
from nests.gauge.plate import NAME, GaugePlate
from nests.given.printer_card import PrinterCard
from nests.papers.drawing import svg
from nests.printing.mesh_files import NamedMesh, stl
from nests.solids.solid import OVER, triangles
from nests.study import Study
from nests.units import BadInput
from tests.gauge.printers import Printer

FINE = PrinterCard(
    name="finer", pixel=0.02, layer=0.03, smallest_wall=0.35, smallest_pin=0.4, smallest_gap=0.2,
    smallest_hole=0.4, smallest_line=0.2, smallest_drain=0.8, build_x=140.0, build_y=80.0,
)  # fmt: skip


@cache
def plate(card: PrinterCard = PrinterCard()) -> GaugePlate:  # noqa: B008
    return GaugePlate.of(card)


@cache
def mesh() -> trimesh.Trimesh:
    found = triangles(plate().solid)
    return trimesh.Trimesh(found.vertices, found.faces, process=False)


@cache
def pack() -> GaugePack:
    return gauge_pack(PrinterCard())


def test_rings_measure_what_their_rows_say() -> None:
    """By shapely, on a level section cut by trimesh: in x and y through the middle of each ring."""
    cut, _ = mesh().section((0, 0, 1), (0, 0, plate().ground.base + 2.0)).to_2D(
        to_2D=np.eye(4)
    )  # fmt: skip
    solid = shapely.union_all(list(cut.polygons_full))
    seen = 0
    for each in plate().specimens:
        rows = {row.name: row.drawn for row in each.rows if row.sort in ("bore", "pin")}
        if not rows:
            continue
        left, low, right, high = each.box
        middle = np.array(((left + right) / 2, (low + high) / 2))
        own = shapely.intersection(
            solid, shapely.box(left - 0.1, low - 0.1, right + 0.1, high + 0.1)
        )
        for name, drawn in rows.items():
            way = np.array((1.0, 0.0) if name.endswith("x") else (0.0, 1.0))
            line = shapely.LineString((middle - 40 * way, middle + 40 * way))
            along = np.sort(shapely.get_coordinates(shapely.intersection(line, own)) @ way)
            assert len(along) == 4
            across = along[2] - along[1] if name.startswith("bore") else along[3] - along[0]
            assert across == pytest.approx(drawn, abs=0.002)  # twice the chord error
            seen += 1
    assert seen == 24


def test_steps_are_as_high_as_their_rows_say_and_whole_layers() -> None:
    """By rays of trimesh from above."""
    steps = [(s, row) for s in plate().specimens for row in s.rows if row.sort == "step"]
    assert len(steps) >= 8
    for each, row in steps:
        x, y = (each.box[0] + each.box[2]) / 2, (each.box[1] + each.box[3]) / 2
        hits, _, _ = mesh().ray.intersects_location([(x, y, 50.0)], [(0, 0, -1)])
        assert hits[:, 2].max() == pytest.approx(row.drawn, abs=1e-4)
        assert top_at(triangles(plate().solid), x, y) == pytest.approx(row.drawn, abs=1e-6)
        assert row.drawn / 0.05 == pytest.approx(round(row.drawn / 0.05))
    assert len({row.drawn for _, row in steps}) == len(steps)


def test_shares_of_a_foot_begin_where_their_rows_say() -> None:
    """By rays of trimesh across each bar: above where it begins it is as wide as its row says,
    below it is drawn in on both sides by more than the foot spreads."""
    bars = [each for each in plate().specimens if each.figure == "foot_spread"]
    assert len(bars) == 2
    seen = 0
    for each in bars:
        shares = [row for row in each.rows if row.sort == "foot"]
        for number, row in enumerate(sorted(shares, key=lambda row: row.height)):
            way = 0 if row.axis == "x" else 1
            along = each.box[3 - way] - OVER - 3.0 * (len(shares) - number) + 1.5
            for z, out in ((row.height + 0.02, 0.0), (row.height - 0.03, 0.15)):
                if z <= 0.0:
                    continue
                middle, far = (each.box[way] + each.box[way + 2]) / 2, np.eye(3)[way]
                found = []
                for side in (-1.0, 1.0):
                    start = np.zeros(3)
                    start[way], start[1 - way], start[2] = middle, along, z
                    hits, _, _ = mesh().ray.intersects_location(
                        [start + 3.5 * side * far], [-side * far]
                    )
                    found.append(float(max(hits[:, way] * side) * side))
                across = found[1] - found[0]
                if out:
                    assert across < row.drawn - 2 * out
                else:
                    assert across == pytest.approx(row.drawn, abs=1e-4)
                seen += 1
    assert seen == 2 * 13


def test_cups_hold_what_their_rows_say_and_drains_are_as_wide() -> None:
    """By shapely on level sections of trimesh: area times depth of each well; width of each way
    out at half its upright height."""
    base = plate().ground.base
    by = {row.name: (each, row) for each in plate().specimens for row in each.rows}
    wells = [by[name] for name in by if name.startswith("cup-")]
    top = max(triangles(each.adds).vertices[:, 2].max() for each, _ in wells if each.adds)
    cut, _ = mesh().section((0, 0, 1), (0, 0, top - 0.5)).to_2D(to_2D=np.eye(4))
    solid = shapely.union_all(list(cut.polygons_full))
    for each, row in wells:
        field = shapely.box(*each.box)
        hole = shapely.difference(field, solid)
        x, y = hole.centroid.coords[0]
        hits, _, _ = mesh().ray.intersects_location([(x, y, 50.0)], [(0, 0, -1)])
        assert hole.area * (top - hits[:, 2].max()) == pytest.approx(row.drawn, rel=0.003)
    for each, row in (by[name] for name in by if name.startswith("drain-")):
        cut, _ = mesh().section((0, 0, 1), (0, 0, base + row.drawn / 4)).to_2D(to_2D=np.eye(4))
        solid = shapely.union_all(list(cut.polygons_full))
        left, low, right, _ = each.box
        line = shapely.LineString(((left, low + 0.6), (right, low + 0.6)))
        assert shapely.difference(line, solid).length == pytest.approx(row.drawn, abs=1e-3)


def test_no_more_is_peeled_than_the_row_of_the_whole_plate_says() -> None:
    """Areas of level sections by trimesh, and within what the card allows."""
    (row,) = [row for row in plate().rows if row.sort == "peel"]
    areas = []
    for k in range(0, 40, 5):
        cut, _ = mesh().section((0, 0, 1), (0, 0, 0.025 + 0.05 * k)).to_2D(to_2D=np.eye(4))
        areas.append(sum(each.area for each in cut.polygons_full))
    assert max(areas) == pytest.approx(row.drawn, abs=1.0)
    assert row.drawn <= PrinterCard().largest_peel


def test_every_figure_of_a_card_that_can_be_read_has_rows_on_both_sides() -> None:
    """Some that the card says will fail and some that it says will not."""
    by: dict[str, set[bool]] = {}
    for each in plate().specimens:
        if each.figure and each.figure != "foot_spread":
            by.setdefault(each.figure, set()).add(each.fails)
    assert set(by) == {
        "smallest_wall", "smallest_gap", "smallest_hole", "smallest_pin", "smallest_line",
        "overhang", "longest_underside", "smallest_drain", "largest_cup",
    }  # fmt: skip
    assert set(map(frozenset, by.values())) == {frozenset((True, False))}


def test_rows_have_names_of_their_own() -> None:
    names = [row.name for row in plate().rows]
    assert len(set(names)) == len(names) >= 100


def test_the_table_gives_the_document_back() -> None:
    blank = plate().blank
    read = replace(
        blank,
        date="2026-03-01",
        tool="caliper; pin gauges",
        rows=tuple(
            replace(row, read=(row.drawn + 0.01, row.drawn)) if row.gauged
            else replace(row, tried="good" if k % 2 else "bad")
            for k, row in enumerate(blank.rows)
        ),
    )  # fmt: skip
    for comma in (False, True):
        assert table.parsed(table.written(blank, decimal_comma=comma), "x") == blank
        assert table.parsed(table.written(read, decimal_comma=comma), "x") == read


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("bore-26-x,bore,x,26,,,,,", "bore-26-x,bore,x,26,,26,abc,,", "bore-26-x, read 2 is"),
        ("bore-26-x,bore,x,26,,,,,", "bore-26-x,bore,x,26,,,,,good", "gauged in mm"),
        ("wall-0.2,wall,,0.2,,,,,", "wall-0.2,wall,,0.2,,0.2,,,", "not gauged in mm"),
        ("wall-0.2,wall,,0.2,,,,,", "wall-0.2,wall,,0.2,,,,,fine", "good or bad is 'fine'"),
        ("wall-0.2,wall,,0.2,,,,", "wall-0.3,wall,,0.2,,,,", "'wall-0.3' stands 2 times"),
        ("wall-0.2,wall,,0.2,,,,", "wall-0.2,walls,,0.2,,,,", "wall-0.2, sort is 'walls'"),
        ("foot-x-0.4,foot,x,4,0.4", "foot-x-0.4,foot,x,4,up", "foot-x-0.4, height is 'up'"),
        ("name,what,axis,drawn", "name,what,drawn", "no row begins"),
        ("layer,0.05", "layer,thin", "layer is 'thin'"),
    ],
)  # fmt: skip
def test_a_table_that_cannot_be_used_says_where(old: str, new: str, says: str) -> None:
    text = table.written(plate().blank).decode("utf-8")
    assert old in text
    with pytest.raises(BadInput, match=says):
        table.parsed(text.replace(old, new, 1).encode("utf-8"), "read.csv")


def test_a_build_plate_too_small_is_said() -> None:
    with pytest.raises(
        BadInput, match=r"build_x and build_y are 60 and 40 mm; the gauge plate needs"
    ):
        GaugePlate.of(PrinterCard(build_x=60.0, build_y=40.0))


def test_the_drawing_gives_the_size_of_the_solid() -> None:
    size = np.ptp(mesh().vertices, axis=0)
    found = {each.name: each.value for each in drawing(plate()).dimensions}
    assert found["width"] == pytest.approx(size[0], abs=1e-6)
    assert found["depth"] == pytest.approx(size[1], abs=1e-6)


@pytest.mark.slow
def test_all_that_is_meant_to_come_out_passes_the_checks() -> None:
    assert [each.sentence() for each in pack().findings if each.grade is not Grade.CLEAR] == []


@pytest.mark.slow
def test_what_is_meant_to_fail_is_listed_with_what_the_checks_say() -> None:
    failing = {each.name for each in plate().specimens if each.fails}
    assert {each.name for each in pack().failing} == failing
    assert len(failing) >= 15
    assert [each.name for each in pack().failing if not each.findings] == []


@pytest.mark.slow
def test_nothing_else_of_the_whole_plate_fails() -> None:
    for each in judge(Study(plate().solid, PrinterCard(), letters=True)):
        if each.grade is not Grade.CLEAR:
            assert each.place is not None
            at = plate().nearest(each.place)
            assert at is not None, each.says
            assert at.fails, (each.says, at.name)


@pytest.mark.slow
@pytest.mark.parametrize("measured", [False, True])
def test_a_finer_printer_has_a_plate_that_passes_too(measured: bool) -> None:
    """And so has one whose card was read off such a plate."""
    card = fit(Printer().read(1), PrinterCard()).card if measured else FINE
    made = GaugePlate.of(card)
    sound = made.without([each.name for each in made.specimens if each.fails])
    found = judge(Study(sound, card, letters=True))
    assert [each.sentence() for each in found if each.grade is not Grade.CLEAR] == []


@pytest.mark.slow
def test_the_3mf_is_read_by_two_libraries() -> None:
    content = pack().files["gauge.3mf"]
    model = lib3mf.get_wrapper().CreateModel()
    model.QueryReader("3mf").ReadFromBuffer(content)
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    scene = trimesh.load(io.BytesIO(content), file_type="3mf")
    (body,) = scene.geometry.values()
    assert body.is_watertight
    assert body.volume == pytest.approx(plate().solid.volume(), rel=1e-4)
    assert body.bounds[0][2] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.slow
def test_the_form_has_exactly_the_rows_of_the_document() -> None:
    text = ""
    for page in pypdfium2.PdfDocument(pack().files["form.pdf"]):
        text += page.get_textpage().get_text_range()
    words = text.split()
    names = [row.name for row in plate().rows]
    assert [each for each in words if each in set(names)] == names


@pytest.mark.slow
def test_the_same_card_gives_the_same_bytes() -> None:
    again = GaugePlate.of(PrinterCard())
    body = NamedMesh.posed(NAME, triangles(again.solid), np.eye(4))
    assert stl(body) == pack().files["gauge.stl"]
    assert svg(drawing(again)) == pack().files["drawing.svg"]


def test_a_foot_that_would_leave_nothing_is_said() -> None:
    with pytest.raises(BadInput, match=r"foot_spread and a layer are 2\.05 mm together"):
        GaugePlate.of(PrinterCard(foot_spread=2.0, foot_height=2.0))


def test_a_shallow_overhang_makes_a_thicker_base() -> None:
    made = GaugePlate.of(PrinterCard(overhang=15.0, build_x=200.0, build_y=200.0))
    assert made.ground.base > made.ground.drawn_in
    assert len(made.solid.decompose()) == 1
