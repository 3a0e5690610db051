"""Acceptance: verdicts within the uncertainty of gauging, settings, drift, doubtful readings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner

from nests.documents.files import canonical
from nests.drawer.drift import drifts, scatter_sd
from nests.drawer.filing import file_holder, measure
from nests.drawer.gauged import gauged
from nests.drawer.shelf import every_holder
from nests.drawer.typed import Doubtful
from nests.drawer.verdict import settings, verdicts
from nests.faces.cli import cli
from nests.finding import Grade
from nests.kinds import document
from nests.kinds.kept import Readings
from nests.units import BadInput

from .conftest import readings


def row(kept, name):
    return next(each.row.feature for each in gauged(kept) if each.row.name == name)


@pytest.mark.parametrize(
    ("off", "doubt", "grade"),
    [
        (0.000, 0.010, Grade.CLEAR), (0.020, 0.010, Grade.CLEAR), (-0.020, 0.010, Grade.CLEAR),
        (0.025, 0.010, Grade.UNKNOWN), (0.030, 0.010, Grade.UNKNOWN),
        (0.035, 0.010, Grade.UNKNOWN), (-0.040, 0.010, Grade.UNKNOWN),
        (0.045, 0.010, Grade.STOP), (-0.045, 0.010, Grade.STOP),
        (0.000, 0.040, Grade.UNKNOWN), (0.060, 0.020, Grade.STOP),
    ],
)  # fmt: skip
def test_a_verdict_keeps_off_the_limits_by_the_uncertainty(folder, plain, off, doubt, grade):
    """ISO 14253-1 on a seat of ± 0.03 mm: within ± (0.03 - U) it conforms, beyond ± (0.03 + U) it
    does not, in between neither is shown."""
    seat = next(f for f in (r.feature for r in rows(plain)) if f.name == "seat")
    assert seat.within == pytest.approx(0.03)
    made = Readings(sizes={"seat": (round(seat.nominal + off, 3),)}, uncertainty=doubt)
    kept = file_holder(folder, plain, made)
    (verdict,) = verdicts(kept)
    assert verdict.grade is grade, verdict.says


def rows(recipe):
    from nests.holder.gauging import to_gauge

    return to_gauge(recipe)


def test_of_several_readings_the_one_that_shows_least_counts(folder, plain):
    kept = file_holder(folder, plain, Readings(sizes={"seat": (26.10, 26.14)}, uncertainty=0.005))
    (verdict,) = verdicts(kept)
    assert verdict.grade is Grade.STOP
    assert "26.14 ± 0.005" in verdict.says


def test_without_a_known_uncertainty_nothing_is_shown(folder, plain):
    kept = file_holder(folder, plain, readings([26.10]))
    (verdict,) = verdicts(kept)
    assert verdict.grade is Grade.UNKNOWN
    assert "not assessed" in verdict.says
    kept, _ = measure(folder, kept.id, Readings(sizes={"seat": (26.10,)}, gauge="micrometer"))
    (verdict,) = verdicts(kept)  # ± 0.005 mm, from memory: `given.tools`
    assert verdict.grade is Grade.CLEAR


def test_settings_are_those_of_this_print(folder, hands):
    made = Readings(sizes={"ledge": (6.94,), "centre-below-ledge": (1.31,)}, uncertainty=0.005)
    kept = file_holder(folder, hands, made)
    feature = row(kept, "centre-below-ledge")
    (says,) = settings(kept)
    assert f"{6.94 - feature.nominal:.3f} mm above the bench" in says
    assert f"it stands {1.31 - feature.nominal:.3f} mm too low" in says  # a pin that was glued
    (verdict,) = [v for v in verdicts(kept) if "centre" in v.says]
    assert verdict.grade is Grade.STOP


def test_a_first_seat_that_cannot_be_true_is_asked_about(folder, hands):
    nominal = next(r.feature.nominal for r in rows(hands) if r.name == "seat")
    wrong = readings([nominal + 0.2])
    with pytest.raises(Doubtful, match=r"0.20 mm off: is that the reading") as told:
        file_holder(folder, hands, wrong)
    assert told.value.names == ("seat",)
    assert not folder.exists() or every_holder(folder)[0] == ()
    kept = file_holder(folder, hands, readings())
    with pytest.raises(Doubtful):
        measure(folder, kept.id, wrong)
    assert every_holder(folder)[0][0].now.readings.gauged == {}
    kept, _ = measure(folder, kept.id, wrong, believed=("seat",))
    assert kept.now.readings.gauged["seat"] == (nominal + 0.2,)


def test_what_is_set_by_hand_is_not_doubted(folder, hands):
    kept = file_holder(folder, hands, Readings(sizes={"centre-below-ledge": (1.6,)}))
    assert kept.now.readings.gauged["centre-below-ledge"] == (1.6,)


def test_the_command_asks_nobody_where_nobody_is(tmp_path, hands):
    (tmp_path / "recipe.json").write_bytes(canonical(document(hands)))
    args = ["file", str(tmp_path), "--drawer", str(tmp_path / "d"), "seat=26.30", "ledge=6.9"]
    run = CliRunner().invoke(cli, args, standalone_mode=False)
    assert isinstance(run.exception, Doubtful)
    assert "--as-read seat" in str(run.exception)
    run = CliRunner().invoke(cli, [*args, "--as-read", "seat", "--gauge", "caliper"])
    assert run.exit_code == 0, run.output
    assert "'seat' does not conform: 26.3 ± 0.02 mm" in run.output
    assert "'ledge' conforms: 6.9 ± 0.02 mm" in run.output
    assert "to dial in: centre-below-ledge: set it to" in run.output
    run = CliRunner().invoke(cli, [*args, "--as-read", "seat", "--uncertainty", "two"],
                             standalone_mode=False)  # fmt: skip
    assert isinstance(run.exception, BadInput)
    assert "--uncertainty" in str(run.exception)


SD = 0.015


def filed(folder, plain, holders, step_at, step, seed):
    """Holders whose seat reads by a known scatter, three readings each."""
    rng = np.random.default_rng(seed)
    card = replace(plain.printer, scatter=2 * SD, uncertainties={"scatter": 0.005})
    recipe = replace(plain, printer=card)
    nominal = next(r.feature.nominal for r in rows(recipe) if r.name == "seat")
    for k in range(holders):
        off = step if k >= step_at else 0.0
        three = tuple(np.round(nominal + off + rng.normal(0.0, SD, 3), 3).tolist())
        file_holder(folder, recipe, Readings(sizes={"seat": three}), believed=("seat",))
    return recipe


def test_a_step_between_holders_is_found(folder, plain):
    recipe = filed(folder, plain, 15, 10, 0.03, seed=8)
    assert scatter_sd(recipe.printer) == pytest.approx(SD)
    (found,) = drifts(folder)
    assert found.grade is Grade.MEND
    assert "bores come out +" in found.says
    ids = [kept.id for kept in sorted(every_holder(folder)[0], key=lambda k: k.history[0].number)]
    since = next(ids.index(each) for each in ids if f"since {each};" in found.says)
    assert 9 <= since <= 13


def test_holders_that_are_alike_show_none(folder, plain):
    filed(folder, plain, 15, 15, 0.0, seed=3)
    assert drifts(folder) == ()
    assert drifts(folder, "another") == ()


def test_gauging_again_is_no_drift(folder, plain):
    """Wear of one holder is not the printer's."""
    filed(folder, plain, 8, 8, 0.0, seed=5)
    for kept in every_holder(folder)[0]:
        measure(folder, kept.id, readings([26.16]), believed=("seat",))
    assert drifts(folder) == ()


@pytest.mark.parametrize("undone", [False, True])
def test_a_drawer_tells_of_drift_by_command(tmp_path, plain, undone):
    folder = tmp_path / "d"
    filed(folder, plain, 12, 12 if undone else 6, 0.05, seed=8)
    run = CliRunner().invoke(cli, ["drawer", "drift", "--drawer", str(folder)])
    assert run.exit_code == (0 if undone else 1), run.output
    assert ("no drift shows" in run.output) is undone
