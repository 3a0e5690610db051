"""Filing, gauging again, retiring and undoing."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from nests.documents.files import validate
from nests.drawer.filing import file_holder, measure, recipe_of, retire
from nests.drawer.history import undo
from nests.drawer.search import listed
from nests.drawer.shelf import every_holder, path_of, read_holder
from nests.drawer.wear import POST_WEAR, SEAT_WEAR
from nests.finding import Refused
from nests.kinds.kept import FILING_UNDONE
from nests.units import BadInput

from .conftest import accepted, readings


def test_what_is_filed_is_read_back(folder, hands):
    gauged = readings([26.07, 26.09], posts={"centre": 5.61}, mass=9.5, gauge="pin gauges")
    kept = file_holder(folder, hands, gauged, date="2031-05-17", note="first print")
    path = path_of(folder, kept.id)
    assert read_holder(path) == kept
    validate(json.loads(path.read_text()), "kept-holder", path.name)
    assert kept.recipe == hands
    assert kept.now.readings.mean("seat") == pytest.approx(26.08)
    assert (kept.now.date, kept.now.note, kept.now.state) == ("2031-05-17", "first print", "in use")


def test_ids_count_by_kind(folder, hands, cased):
    ids = [file_holder(folder, r, readings()).id for r in (hands, cased, hands, cased)]
    assert [i.split("-")[0] for i in ids] == ["M1", "C1", "M2", "C2"]
    assert [holder for holder, _ in listed(folder)[0]] == [ids[1], ids[3], ids[0], ids[2]]


def test_the_same_deeds_give_the_same_bytes(tmp_path, hands):
    made = []
    for name in ("one", "two"):
        kept = file_holder(tmp_path / name, hands, readings([26.1]), date="2031-05-17")
        measure(tmp_path / name, kept.id, readings([26.12]), date="2031-06-01")
        made.append(path_of(tmp_path / name, kept.id).read_bytes())
    assert made[0] == made[1]


def test_undo_walks_back_and_forgets_nothing(folder, hands):
    first = file_holder(folder, hands, readings([26.08]))
    second = file_holder(folder, hands, readings())
    measure(folder, first.id, readings([26.10]))
    retire(folder, second.id, "dropped")
    undone = [undo(folder) for _ in range(4)]
    assert [(step.kept.id, step.change.did) for step in undone] == [
        (second.id, "retired"), (first.id, "measured"), (second.id, "filed"), (first.id, "filed"),
    ]  # fmt: skip
    assert undone[0].kept.now.state == "in use"
    assert undone[1].kept.now.readings.gauged == {"seat": (26.08,)}
    assert undone[2].kept.now.reason == FILING_UNDONE
    with pytest.raises(BadInput, match="nothing to undo"):
        undo(folder)
    holders, unusable = every_holder(folder)
    assert not unusable
    numbers = sorted(c.number for kept in holders for c in kept.history)
    assert numbers == list(range(1, 9))
    assert file_holder(folder, hands, readings()).id not in (first.id, second.id)


def test_a_change_after_an_undo_is_undone_first(folder, hands):
    kept = file_holder(folder, hands, readings([26.08]))
    measure(folder, kept.id, readings([26.10]))
    undo(folder)
    retire(folder, kept.id, "lost")
    step = undo(folder)
    after = step.kept
    assert step.change.did == "retired"
    assert (after.now.state, after.now.readings.mean("seat")) == ("in use", 26.08)


@pytest.mark.parametrize(
    ("limit", "again"),
    [
        (SEAT_WEAR, lambda over: readings([26.075 + SEAT_WEAR + over])),
        (POST_WEAR, lambda over: readings(posts={"barrel bridge": 5.66 - POST_WEAR - over})),
    ],
)
def test_wear_beyond_its_limit_asks_to_gauge_or_retire(folder, hands, limit, again):
    new = {"seat": [26.075], "posts": {"barrel bridge": 5.66}}
    kept = file_holder(folder, hands, accepted(hands, **new))
    within, findings = measure(folder, kept.id, again(-0.001))
    assert (within.now.state, findings) == ("in use", ())
    beyond, findings = measure(folder, kept.id, again(0.001))
    assert beyond.now.state == "worn"
    (finding,) = findings
    assert "gauge it again" in finding.remedy
    assert "retire" in finding.remedy
    assert finding.value == pytest.approx(limit + 0.001)
    after, _ = measure(folder, kept.id, readings(**new))
    assert after.now.state == "in use"


def test_a_retired_holder_is_left_alone(folder, hands):
    kept = file_holder(folder, hands, readings())
    retire(folder, kept.id, "cracked", date="2031-05-17")
    for change in (lambda: measure(folder, kept.id, readings([26.1])),
                   lambda: retire(folder, kept.id, "again")):  # fmt: skip
        with pytest.raises(BadInput, match=r"is retired \(cracked\)"):
            change()


@pytest.mark.parametrize(
    ("gauged", "says"),
    [
        ({"seat": [27.0]}, "seat is 27 mm, but it is drawn 26.10 mm"),
        ({"seat": [-1.0]}, "seat is -1 mm; allowed is 0 to 200 mm"),
        ({"seat": [float("nan")]}, "a finite number"),
        ({"seat": [1.0]}, "seat is 1 mm, but it is drawn 26.10 mm"),
        ({"posts": {"middle": 5.0}}, "'middle-below-ledge' is nothing to be gauged on"),
        ({"posts": {"centre": 1.3}}, "it is gauged from the ledge, down from it"),
        ({"ledge": 1.0}, "ledge is 1 mm, but it is drawn 6.90 mm"),
        ({"mass": 0.0}, "mass is 0 g; allowed is 0.05 to 2000 g"),
    ],
)
def test_readings_that_cannot_be(folder, hands, gauged, says):
    with pytest.raises(BadInput, match=says):
        file_holder(folder, hands, readings(**gauged))
    assert not folder.exists()


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (lambda d, k, r: retire(d, k.id, "  "), "for a reason"),
        (lambda d, k, r: retire(d, "M9-5", "lost"), "there is no holder M9-5"),
        (lambda d, k, r: retire(d, "M1-M", "lost"), "mistyped"),
        (lambda d, k, r: measure(d, k.id, readings()), "nothing was measured"),
        (lambda d, k, r: retire(d / "none", k.id, "lost"), "there is no drawer at"),
        (lambda d, k, r: file_holder(d, r, readings(), date="17.5.2031"), "year-month-day"),
        (lambda d, k, r: file_holder(d / f"{k.id}.json", r, readings()), "cannot be a drawer"),
        (lambda d, k, r: recipe_of(d), "is no pack"),
    ],
)
def test_wrong_use_costs_one_sentence(folder, hands, wrong, says):
    kept = file_holder(folder, hands, readings())
    with pytest.raises(BadInput, match=says) as caught:
        wrong(folder, kept, hands)
    assert str(caught.value).count("\n") == 0


def test_a_recipe_of_the_wrong_kind_is_refused(tmp_path, hands):
    from nests.documents.files import canonical
    from nests.kinds import document

    path = tmp_path / "recipe.json"
    path.write_bytes(canonical(document(replace(hands, kind="case holder"))))
    with pytest.raises(Refused):
        recipe_of(tmp_path)
