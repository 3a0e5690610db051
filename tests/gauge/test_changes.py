"""What a new card changes: odds against drawn lots, and holders that would be judged otherwise."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from nests.drawer.filing import file_holder
from nests.drawer.typed import typed
from nests.faces.cli import cli
from nests.gauge.changes import (
    RecipeChange,
    changed,
    height_odds,
    in_drawer,
    on_recipe,
    share,
)
from nests.gauge.fitting import fit
from nests.gauge.remarks import figures
from nests.gauge.table import written
from nests.given.printer_card import PrinterCard, layers_to
from nests.holder.gauging import to_gauge
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.kinds.kept import Readings
from nests.orders.order import order
from tests.gauge.printers import Printer

TIGHT = replace(Printer(), bore_x=(-0.110, 0.0), bore_y=(-0.110, 0.0), height=(0.03, -0.006))
SHEET = Path(__file__).parents[2] / "gallery" / "sheets" / "inv-26-a.json"


@cache
def card() -> PrinterCard:
    return fit(TIGHT.read(1), PrinterCard()).card


@cache
def recipe() -> Recipe:
    return order("hand-setting", {}, sheet=SHEET, operation="hand-setting", search=False).recipe


@cache
def change() -> RecipeChange:
    return on_recipe(recipe(), card())


@pytest.mark.slow
def test_the_recipe_keeps_what_is_wanted_and_what_is_drawn_apart() -> None:
    """By the new card the seat is drawn wider by what its bores come out tighter; what it should
    measure stays."""
    made = change()
    seat = next(each for each in made.sizes if each.name.startswith("seat"))
    assert seat.before.drawn == pytest.approx(seat.wanted, abs=1e-3)
    assert seat.now.drawn == seat.before.drawn
    assert seat.now.measures == pytest.approx(seat.wanted - 0.11, abs=0.03)
    assert seat.anew.measures == pytest.approx(seat.wanted, abs=2e-3)
    assert seat.anew.drawn == pytest.approx(card().inside(seat.wanted), abs=0.01)
    assert seat.now.good < 0.6 < seat.anew.good
    assert not made.was_measured
    assert any(each.startswith("fit, clear before, stop now: ") for each in made.now)
    assert not any("stop now" in each for each in made.anew)


@pytest.mark.slow
def test_seat_odds_are_those_of_drawn_lots() -> None:
    """A print by lot: scatter, what the bias is known to, and what the rim was measured to, each
    even between its ends."""
    seat = next(e for e in change().sizes if e.name.startswith("seat"))
    rng, n, made = np.random.default_rng(3), 400_000, card()
    rim = recipe().workpiece
    bore = seat.now.measures + sum(
        rng.uniform(-half, half, n) for half in (made.scatter, made.bore_doubt(seat.now.drawn))
    )
    about = rim.uncertainties.get("/outline", rim.uncertainty)
    play = bore - (26.0 + rng.uniform(-about, about, n))
    good = np.mean((play >= 0.0) & (play <= 0.2))
    assert seat.now.good == pytest.approx(good, abs=0.02)


@pytest.mark.parametrize("anew", [False, True])
def test_height_odds_are_those_of_drawn_lots(anew: bool) -> None:
    """Ledge and tip each come out at whole layers, and each scatters."""
    site, made = recipe().site(), card()
    drawn_by = made if anew else site.card
    rng, n, seen = np.random.default_rng(5), 200_000, 0
    for row in to_gauge(recipe()):
        feature = row.feature
        if feature.sort != "tip" or feature.by_hand or feature.datum is None:
            continue
        tip = feature.datum - feature.nominal if feature.down else feature.datum + feature.nominal
        slope = made.height_bias_slope + made.uncertainties["height_bias_slope"] * rng.uniform(
            -1, 1, n
        )
        faces = [
            layers_to(drawn_by.upright(z), made.layer) * made.layer * (1.0 + slope)
            + made.height_bias
            + rng.uniform(-made.scatter, made.scatter, n)
            for z in (feature.datum, tip)
        ]  # fmt: skip
        gauged = np.abs(faces[1] - faces[0])
        good = np.mean((gauged >= feature.low) & (gauged <= feature.high))
        assert height_odds(feature, made, drawn_by).good == pytest.approx(good, abs=0.01)
        seen += 1
    assert seen >= 1
    assert site.card == PrinterCard()


@pytest.mark.slow
def test_a_card_that_changes_nothing_changes_nothing() -> None:
    made = on_recipe(recipe(), recipe().printer)
    assert made.now == made.anew == ()
    assert all(each.before == each.now for each in made.sizes)
    assert changed((), ()) == ()


def test_no_share_of_prints_is_told_surer_than_it_can_be() -> None:
    assert [share(each) for each in (1.0, 0.9994, 0.313, 0.0004)] == [
        "over 99.9 %", "99.9 %", "31.3 %", "under 0.1 %",
    ]  # fmt: skip


def test_figures_are_told_with_units_and_no_more_digits_than_are_known() -> None:
    """Two figures of the ± and the value to the same place, JCGM 100:2008, 7.2.6; what came out
    and what did not is no ±."""
    told = {each.partition(",")[0]: each for each in figures(card())}
    made = card()
    assert set(told) == {name for name in made.readings if getattr(made, name) is not None}
    doubt = made.uncertainties["inside_bias"]
    assert 0.01 <= doubt < 0.1
    assert f": {made.inside_bias:.3f} ± {doubt:.3f} mm; 36 readings;" in told["inside_bias"]
    assert ": 0.4 mm; 7 readings; gauge plate" in told["smallest_wall"]
    for name in ("smallest_wall", "largest_cup", "foot_height"):
        assert " ± " not in told[name]
    assert "one line does for x and y" in told["inside_bias_apart"]


@pytest.mark.slow
def test_holders_of_a_drawer_that_would_be_judged_otherwise(tmp_path: Path) -> None:
    drawer, made = tmp_path / "drawer", recipe()
    file_holder(drawer, made, Readings())
    gauged = typed(["seat=26.10", "seat=26.10"], made)
    file_holder(drawer, made, gauged)
    other = replace(made, printer=replace(made.printer, name="another"))
    file_holder(drawer, other, Readings())
    begun: list[str] = []
    found = in_drawer(drawer, card(), begun.append)
    assert begun == ["M1-L, 1 of 2 ...", "M2-J, 2 of 2 ..."]
    assert (found.looked_at, found.of_others) == (2, 1)
    by = {each.id: " ".join(each.says) for each in found.otherwise}
    assert "fit, clear before" in by["M1-L"]
    assert "fit, " not in by.get("M2-J", "")  # its seat is known by the gauge


@pytest.mark.slow
def test_the_command(tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_bytes(written(TIGHT.read(1)))
    run = CliRunner().invoke(cli, ["measure", "readings", str(tmp_path / "r.csv"),
                                   str(tmp_path / "r.json")])  # fmt: skip
    assert run.exit_code == 0, run.output
    assert "106 of 106 rows are read" in run.output
    args = ["measure", "fit", str(tmp_path / "r.json"), "--out", str(tmp_path / "c.json"),
            "--picture", str(tmp_path / "r.svg")]  # fmt: skip
    run = CliRunner().invoke(cli, args)
    assert run.exit_code == 0, run.output
    assert read(tmp_path / "c.json", PrinterCard) == card()
    assert (tmp_path / "r.svg").read_bytes().startswith(b"<svg")
    run = CliRunner().invoke(cli, args, standalone_mode=False)
    assert "exists already" in str(run.exception)
    run = CliRunner().invoke(
        cli,
        ["make", "hand-setting", "--sheet", str(SHEET), "--operation", "hand-setting",
         "--printer", str(tmp_path / "c.json"), "--no-papers", "--out", str(tmp_path / "h")],
    )  # fmt: skip
    assert run.exit_code in (0, 1), run.output
