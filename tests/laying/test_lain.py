"""Plates of real holders: read back by two libraries, measured by them, judged, and summed up."""

from __future__ import annotations

import io
import itertools
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import shapely
import trimesh
from click.testing import CliRunner
from trimesh.path.polygons import projected

from nests.documents.files import canonical
from nests.faces.cli import cli
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.holder.recipe import Recipe
from nests.kinds import document
from nests.kinds.plan import Plan, PlannedHolder
from nests.laying.job import Waiting, in_order, waiting
from nests.laying.pack import Laid, lay_out, told
from nests.places import Side
from nests.units import BadInput
from tests.ordering import preferred as order

WIDE = PrinterCard(name="wide", build_x=218.0, build_y=123.0, largest_peel=20_000.0)
SHEETS = Path(__file__).parents[2] / "gallery" / "sheets"


@cache
def rounds() -> tuple[Recipe, ...]:
    sizes = ((26.0, 4.6), (20.0, 4.0), (30.0, 6.0), (17.0, 3.5), (14.0, 3.0))
    return tuple(order("round", {"diameter": d, "height": h}).recipe for d, h in sizes)


@cache
def plungers() -> Recipe:
    return order(
        "chronograph", {"pushed_by": "plunger"}, sheet=SHEETS / "inv-30-c.json",
        operation="chronograph-hands",
    ).recipe  # fmt: skip


@cache
def laid() -> Laid:
    return lay_out([*rounds()[:3], plungers(), rounds()[1]], card=None)


def scene(content: bytes) -> dict[str, trimesh.Trimesh]:
    """The bodies of a 3MF where they lie, by name, as trimesh reads them."""
    found = trimesh.load(io.BytesIO(content), file_type="3mf")
    out = {}
    for node in found.graph.nodes_geometry:
        matrix, name = found.graph[node]
        body = found.geometry[name].copy()
        body.apply_transform(matrix)
        out[name] = body
    return out


def plates_of(made: Laid) -> list[dict[str, trimesh.Trimesh]]:
    return [scene(made.files[f"plate-{plate.number}.3mf"]) for plate in made.plates]


@pytest.mark.slow
def test_both_libraries_read_every_body_under_its_name() -> None:
    made = laid()
    for plate, bodies in zip(made.plates, plates_of(made), strict=True):
        names = sorted(each.body.name for each in plate.lying)
        assert sorted(bodies) == names
        model = lib3mf.get_wrapper().CreateModel()
        reader = model.QueryReader("3mf")
        reader.ReadFromBuffer(made.files[f"plate-{plate.number}.3mf"])
        assert reader.GetWarningCount() == 0
        assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
        items, seen = model.GetBuildItems(), []
        while items.MoveNext():
            item = items.GetCurrent()
            body = item.GetObjectResource()
            seen.append(body.GetName())
            at = item.GetObjectTransform().Fields[3]
            lying = next(e for e in plate.lying if e.body.name == body.GetName())
            assert (at[0], at[1]) == pytest.approx((lying.where.x, lying.where.y), abs=1e-4)
        assert sorted(seen) == names
    every = [each.body.name for plate in made.plates for each in plate.lying]
    assert len(set(every)) == len(every) == 5 + 4
    assert sum(name.endswith("(2)") for name in every) == 1


@pytest.mark.slow
def test_distances_are_exact() -> None:
    """Silhouettes by trimesh from the file, distances by shapely: the gap is kept, and the least
    one is that which the finding tells."""
    for plate, bodies in zip(laid().plates, plates_of(laid()), strict=True):
        plans = {name: projected(body, (0, 0, 1)) for name, body in bodies.items()}
        pairs = itertools.combinations(plans.values(), 2)
        away = [float(shapely.distance(a, b)) for a, b in pairs]
        assert min(away, default=math.inf) >= 2.0 - 1e-3
        if away:
            assert plate.nearest[0] == pytest.approx(min(away), abs=2e-3)
        for body in bodies.values():
            assert body.is_watertight
            assert body.bounds[0].min() >= -1e-6
            assert (body.bounds[1] <= (120.0, 68.0, 150.0)).all()
            assert body.bounds[0][2] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.slow
def test_the_peel_of_a_plate_is_that_of_all_its_bodies() -> None:
    """Areas of level sections by trimesh; sealed pockets are what the plate has more."""
    for plate, bodies in zip(laid().plates, plates_of(laid()), strict=True):
        for layer in (5, 40, 100):
            z = (layer + 0.5) * 0.05
            area = 0.0
            for body in bodies.values():
                cut = body.section((0, 0, 1), (0, 0, z))
                if cut is not None:
                    area += sum(p.area for p in cut.to_2D(to_2D=np.eye(4))[0].polygons_full)
            solid = sum(
                float(e.body.solid[layer]) if layer < len(e.body.solid) else 0.0
                for e in plate.lying
            )
            assert solid == pytest.approx(area, rel=2e-3, abs=0.5)
            if layer < len(plate.peel):
                assert plate.peel[layer] >= solid - 1e-9
        peel = next(f for f in plate.findings() if f.check == "peel")
        assert peel.value == pytest.approx(float(plate.peel.max()), abs=1e-3)


@pytest.mark.slow
def test_no_plate_peels_more_than_the_card_allows() -> None:
    assert all(plate.peel.max() <= 3000.0 for plate in laid().plates)
    assert len(laid().plates) > 1
    assert laid().grade is Grade.CLEAR


@pytest.mark.slow
def test_volume_time_and_price() -> None:
    made = laid()
    words = "\n".join(told(made.plates, made.card, ()))
    assert "price unknown: the card does not say" in words
    assert "resin left after it: unknown: the card does not say" in words
    volume = math.fsum(body.volume for bodies in plates_of(made) for body in bodies.values())
    assert math.fsum(p.volume for p in made.plates) == pytest.approx(volume, rel=1e-4)
    for plate, bodies in zip(made.plates, plates_of(made), strict=True):
        high = max(body.bounds[1][2] for body in bodies.values())
        assert plate.seconds == pytest.approx(math.ceil(high / 0.05 - 1e-3) * 12.0)
    dear = replace(PrinterCard(), resin_price=40.0, currency="EUR", resin_left=5.0)
    words = "\n".join(told(lay_out([rounds()[2]], card=dear).plates, dear, ()))
    assert "EUR" in words
    assert "ml too little" in words


@pytest.mark.slow
def test_thirty_holders_on_one_plate() -> None:
    """Drawn for five movements, each six times."""
    import time

    from nests.laying.bodies import all_bodies
    from nests.laying.lain import lay

    bodies = all_bodies([(each, 0) for each in rounds() for _ in range(6)])
    begin = time.process_time()
    plates = lay(bodies, replace(WIDE, build_x=330.0, build_y=280.0, largest_peel=90_000.0))
    assert time.process_time() - begin <= 2.0
    assert sum(len(plate.lying) for plate in plates) == 30
    assert min(plate.nearest[0] for plate in plates) >= 2.0 - 1e-5
    assert [f for plate in plates for f in plate.findings() if f.grade is Grade.STOP] == []


@pytest.mark.slow
def test_what_does_not_fit_is_named() -> None:
    with pytest.raises(BadInput, match=r"D30.00 .* 46\..* by 46\..* mm in plan"):
        lay_out([rounds()[2]], card=replace(PrinterCard(), build_x=40.0, build_y=40.0))
    with pytest.raises(BadInput, match="mm high"):
        lay_out([plungers()], card=replace(PrinterCard(), build_z=11.0))
    with pytest.raises(BadInput, match="nothing is to be printed"):
        lay_out([])
    other = replace(rounds()[0], printer=replace(PrinterCard(), name="another"))
    with pytest.raises(BadInput, match="several printers: another, unmeasured printer"):
        lay_out([rounds()[0], other])


def plan(name: str, start: bool, holders: dict[str, int]) -> Plan:
    return Plan(
        sheet=name, work="three-hand", printer="x", may_start=start, says="a fact is missing.",
        weight=1, bound=1, proven=True,
        holders=tuple(
            PlannedHolder(name=n, state="to print", side_up=Side.DIAL, pack=f"packs/{k}",
                          volume=7000.0, used=tuple("abcdefgh"[:many]))
            for k, (n, many) in enumerate(holders.items())
        ),
    )  # fmt: skip


@pytest.mark.slow
def test_what_to_print_first(tmp_path: Path) -> None:
    """A job that may start before one that may not, less resin before more, and the holder that
    most is done in before others; by the folder of a job as it is written."""
    small = Waiting(plan("B", True, {"x": 3}), ((PlannedHolder(
        name="x", state="to print", side_up=Side.DIAL, volume=7000.0, used=("a", "b")),
        rounds()[1]),))  # fmt: skip
    stuck = Waiting(plan("A", False, {"y": 1}), ())
    folder = tmp_path / "job"
    for k in range(2):
        (folder / "packs" / str(k)).mkdir(parents=True)
        (folder / "packs" / str(k) / "recipe.json").write_bytes(canonical(document(rounds()[k])))
    planned = plan("C", True, {"few": 2, "many": 6})
    (folder / "plan.json").write_bytes(canonical(document(planned)))
    large = waiting(folder)
    assert [planned.name for planned, _ in large.recipes] == ["many", "few"]
    assert [each.plan.sheet for each in in_order([stuck, large, small])] == ["B", "C", "A"]
    made = lay_out([], [stuck, large, small])
    words = told(made.plates, made.card, made.jobs)
    assert words[-3].startswith("1. three-hand on B: plate 1 with ")
    assert words[-2].startswith("2. three-hand on C: plate")
    assert "6 operations are done in many" in words[-2]
    assert words[-1].endswith("nothing is to be printed.")
    with pytest.raises(BadInput, match="is no job"):
        waiting(tmp_path)


@pytest.mark.slow
def test_the_command(tmp_path: Path) -> None:
    path = tmp_path / "r.json"
    path.write_bytes(canonical(document(rounds()[0])))
    args = ["lay", str(path), str(path), "--out", str(tmp_path / "out"), "--gap", "3"]
    run = CliRunner().invoke(cli, args)
    assert run.exit_code == 0, run.output
    assert "(2): at x" in run.output
    assert {each.name for each in (tmp_path / "out").iterdir()} >= {
        "plate-1.3mf", "plate-1.png", "plates.json", "plates.txt", "contents.json",
    }  # fmt: skip
    run = CliRunner().invoke(cli, [*args[:-1], "60"], standalone_mode=False)
    assert isinstance(run.exception, BadInput)
    first = (tmp_path / "out" / "plate-1.3mf").read_bytes()
    run = CliRunner().invoke(cli, [*args, "--replace"])
    assert run.exit_code == 0
    assert (tmp_path / "out" / "plate-1.3mf").read_bytes() == first
