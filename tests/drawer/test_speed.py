"""Ten thousand holders: the search stays quick. Figures are printed."""

from __future__ import annotations

import json
import os
import time

import pytest

from nests.drawer.crossing import cross
from nests.drawer.filing import file_holder
from nests.drawer.index import NAME, fresh_index
from nests.drawer.look import matches, wanted_for
from nests.drawer.search import find
from nests.drawer.shelf import read_holder, written
from nests.given.operation import USUAL
from nests.kinds.kept import Change, KeptHolder, make_id
from nests.planning.kept import holders_in
from nests.planning.offers import Asking, offers

from .conftest import readings, recipe, sheet

MANY = 10_000
WARM, JUDGED, PLANNED = 0.2, 2.0, 5.0
"""Seconds of processor for the first look in a warm drawer, for reading the ten best and judging
them by their sizes, and for what a plan needs to know of the whole drawer. Not by the clock: the
machine is shared. What the checks at the bench add is printed, and not held to a limit here."""
HANDS = USUAL.operation("hand-setting")


def crowd() -> list:
    """Forty round holders of as many ⌀, three others, and hand setting with seven walls."""
    rounds = [recipe("round", "", diameter=20.0 + 0.3 * k, height=4.6) for k in range(40)]
    others = [recipe("hand-setting", "inv-30-c", "hand-setting"), recipe("thin", "inv-26-a"),
              recipe("inspection", "inv-26-a", side_up="dial")]  # fmt: skip
    own = [recipe("hand-setting", "inv-26-a", "hand-setting", wall=8.0 + 0.1 * k) for k in range(7)]
    return [*rounds, *others, *own]


@pytest.mark.long
def test_ten_thousand_holders(folder, hands, capsys):
    folder.mkdir()
    chosen = crowd()
    texts = [written(KeptHolder(id=make_id(r.kind, 1), recipe=r, history=(Change(
        number=1, did="filed", readings=readings()),))).decode() for r in chosen]  # fmt: skip
    for number in range(1, MANY + 1):
        made = chosen[number % len(chosen)]
        text = texts[number % len(chosen)]
        new = make_id(made.kind, number)
        text = text.replace(json.dumps(make_id(made.kind, 1)), json.dumps(new), 1)
        text = text.replace('"number": 1,', f'"number": {number},', 1)
        (folder / f"{new}.json").write_text(text)

    begun = time.perf_counter()
    assert fresh_index(folder).unusable() == ()
    cold = time.perf_counter() - begun
    time.sleep(0.1)  # the index must be clearly younger than the documents, see index.GRAIN
    (folder / NAME).touch()

    movement, warm, clock = sheet("inv-26-a"), [], []
    for _ in range(5):
        begun, start = time.process_time(), time.perf_counter()
        count, best = matches(fresh_index(folder), wanted_for(movement, HANDS), 10)
        warm.append(time.process_time() - begun)
        clock.append(time.perf_counter() - start)
    assert {each.unsupported for each in best} == {0}
    assert count > 1000

    begun = time.process_time()
    for each in best:
        cross(read_holder(folder / each.name), movement, HANDS, seat=each.seat, bench=False)
    sizes = time.process_time() - begun

    begun, start = spent(), time.perf_counter()
    judged = find(folder, movement, HANDS).judged
    ten, ten_clock = spent() - begun - min(warm), time.perf_counter() - start - min(clock)
    assert len(judged) == 10
    assert all(each.at_bench for each in judged)

    begun = time.process_time()
    there = offers(holders_in(folder, movement), Asking([[0]], lambda _: HANDS))
    planned = time.process_time() - begun
    assert there.unjudged == ()
    assert [len(each.serves) for each in there.made] == [1]

    start = time.perf_counter()
    kept = file_holder(folder, hands, readings())
    filing = time.perf_counter() - start
    assert kept.id.startswith(f"M{MANY + 1}-")
    with capsys.disabled():
        print(f"\n{MANY} holders: index from nothing {cold:.0f} s; one filed {filing:.2f} s")
        print(f"first look {1000 * min(warm):.0f} ms ({1000 * min(clock):.0f} by the clock)")
        print(
            f"ten by their sizes {sizes:.2f} s; at the bench too {ten:.2f} s of processor "
            f"({ten_clock:.2f} by the clock)"
        )
        print(f"offered to a plan {planned:.2f} s of processor")
    assert min(warm) <= WARM
    assert planned <= PLANNED
    assert sizes <= JUDGED


def spent() -> float:
    """Seconds of processor of this process and those it started."""
    return sum(os.times()[:4])
