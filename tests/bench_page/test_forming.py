"""What is moved is seen at once with the parts that are there, and what the family makes of it
follows; nothing is done to a holder that is not the family's."""

from __future__ import annotations

import time

import pytest

pytest.importorskip("starlette")

from nests.faces.page import bench as bench_module
from nests.faces.page import tasks
from nests.faces.page.bench import BROKE, Bench
from nests.faces.page.journal import Journal
from nests.faces.page.serving import DRAWN, Serving
from nests.faces.page.state import OTHERS, Behind
from nests.orders.trying import Trial
from nests.units import BadInput
from tests.bench_page.test_every_sheet import Nobody, do


@pytest.fixture
def bench(tmp_path, monkeypatch):
    """A hand-setting holder; the family is asked again once `seen` is set."""
    monkeypatch.setattr(bench_module, "Helper", Nobody)
    monkeypatch.setattr(bench_module, "PATIENCE", 60.0)
    made = Bench(Journal(tmp_path / "bench"), tmp_path / "drawer")
    do(made, do="open", name="inv-26-a")
    do(made, do="say", operation="hand-setting")
    assert made.state.trial is not None
    yield made
    made.seen.set()
    made.close()


def waited(bench):
    bench.seen.set()
    until = time.monotonic() + 30.0
    while bench.state.forming:
        assert time.monotonic() < until
        time.sleep(0.01)
    return bench.state


def moved(bench, x=0.02):
    """The arbor over the first post, a little aside."""
    under = bench.state.trial.posts()[0].under
    number = [each["name"] for each in bench.state.work.sheet["arbors"]].index(under)
    do(bench, do="place", at=f"sheet:/arbors/{number}/at", x=x, y=0.01)


def test_what_is_moved_is_seen_first_and_is_then_what_the_family_makes(bench):
    before = bench.state
    moved(bench)
    first = bench.state
    assert first.forming
    assert not first.done
    assert first.shape == before.shape + 1
    assert first.trial.recipe.parts == before.trial.recipe.parts
    places = [[each.at for each in state.trial.posts()] for state in (before, first)]
    assert places[0] != places[1]
    after = waited(bench)
    assert after.trial.recipe == tasks.trial_of(after.work).recipe
    same = after.trial.of_same_parts(first.trial)
    assert after.shape == first.shape + (not same)


def test_other_parts_are_shown_as_another_shape_and_none_of_the_old_is_changed(bench):
    do(bench, do="set", at="sheet:/rim", text="1.1")
    first = bench.state
    assert first.forming
    with pytest.raises(Behind) as behind:
        do(bench, do="set", at="recipe:/parts/1/tip", text="0.9")
    assert str(behind.value) == OTHERS
    assert not bench.state.forming
    assert bench.state.serial == first.serial
    assert bench.state.work.recipe is None
    assert bench.state.shape == first.shape + 1
    assert bench.state.trial.recipe == tasks.trial_of(bench.state.work).recipe
    # who sees the family's holder may overrule it
    do(bench, do="set", at="recipe:/parts/1/tip", text="0.9")
    assert bench.state.work.recipe is not None
    assert not bench.state.forming


def test_where_the_family_makes_none_the_last_holder_comes_back_with_the_reason(bench):
    before = bench.state
    do(bench, do="set", at="sheet:/arbors/0/jewels/0/diameter", text="0.5")
    first = bench.state
    after = waited(bench)
    assert after.faults
    assert after.trial is before.trial
    if first.forming:
        assert after.shape == first.shape + 1
    # as it would be without a first look
    with pytest.raises(BadInput) as refused:
        tasks.trial_of(after.work)
    assert after.faults == refused.value.faults


def test_filing_asks_the_family_first(bench):
    moved(bench)
    assert bench.state.forming
    assert bench.formed().trial.recipe == tasks.trial_of(bench.state.work).recipe


@pytest.mark.parametrize(
    "asked",
    [
        {"do": "say", "operation": "train-work"},
        {"do": "say", "family": "round"},
        {"do": "undo"},
    ],
)
def test_only_what_is_measured_has_a_first_look(bench, asked):
    """Where more is other than the sheet, and where the work before was another."""
    do(bench, **asked)
    assert not bench.state.forming


def test_moves_that_follow_each_other_are_each_seen_first(bench):
    """As where something is dragged: the family is asked of the last; where it makes none, the
    holder of before they began comes back."""
    before = bench.state
    moved(bench)
    first = bench.state
    moved(bench, 0.03)
    second = bench.state
    assert first.forming
    assert second.forming
    assert second.shape == first.shape + 1
    do(bench, do="set", at="sheet:/arbors/0/jewels/0/diameter", text="0.5")
    after = waited(bench)
    assert after.faults
    assert after.trial is before.trial
    assert after.shape > second.shape
    assert bench.state.pieces


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
@pytest.mark.parametrize("where", ["the family", "a check"])
def test_a_fault_of_the_program_is_told_and_nobody_waits(bench, monkeypatch, where):
    def broken(*_):
        raise RuntimeError("so it is")

    if where == "the family":
        monkeypatch.setattr(tasks, "trial_of", broken)
    else:
        monkeypatch.setattr(Trial, "found", broken)
    moved(bench)
    until = time.monotonic() + 30.0
    while not bench.state.faults:
        bench.seen.set()  # the family's may be another shape, which is to be seen too
        assert time.monotonic() < until
        time.sleep(0.01)
    assert bench.state.faults == (BROKE,)
    assert not bench.state.forming


def test_a_fault_of_the_program_in_a_change_can_be_undone(bench, monkeypatch):
    before = bench.state

    def broken(*_):
        raise RuntimeError("so it is")

    with monkeypatch.context() as patched:
        patched.setattr(tasks, "moved", broken)
        with pytest.raises(RuntimeError):
            moved(bench)
    assert bench.state.serial == bench.journal.serial == before.serial + 1
    assert bench.state.faults == (BROKE,)
    do(bench, do="undo")
    assert not bench.state.faults
    assert bench.state.work.sheet == before.work.sheet


def test_a_page_may_ask_for_the_shape_before_while_the_next_is_made(bench):
    """Cut and solid are of the shape that is asked for, as long as it is kept, and say of which."""
    serving = Serving(bench)
    number, first = bench.state.shape, serving._drawn()
    assert first.shape == number
    moved(bench)
    second = serving._drawn(bench.state.shape)
    assert second.shape == bench.state.shape == number + 1
    assert serving._drawn(number) is first
    assert serving._drawn() is serving._drawn(-1) is serving._drawn(number + 1) is second
    assert first.scene != second.scene
    for step in range(DRAWN):
        moved(bench, 0.03 + 0.01 * step)
        serving._drawn()
    assert serving._drawn(number).shape == bench.state.shape
