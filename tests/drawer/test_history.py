"""Bringing back one holder, undoing, redoing: across several holders, steps and writers."""

from __future__ import annotations

import io
import multiprocessing
import os
import random
import shlex
import signal
import time

import pytest

from nests.drawer.filing import file_holder, measure, reinstate, retire
from nests.drawer.history import next_undo, redo, undo
from nests.drawer.search import listed
from nests.drawer.shelf import every_holder, path_of, read_holder
from nests.faces.cli import main
from nests.units import BadInput

from .conftest import readings


def states(folder) -> dict[str, str]:
    return dict(listed(folder)[0])


def numbers(folder) -> list[int]:
    holders, unusable = every_holder(folder)
    assert not unusable
    return sorted(change.number for kept in holders for change in kept.history)


@pytest.fixture
def pair(folder, plain):
    """Mine, retired; then another's, gauged after that."""
    mine, other = (file_holder(folder, plain, readings([26.1])).id for _ in range(2))
    retire(folder, mine, "cracked", date="2031-05-17", by="Ann")
    measure(folder, other, readings([26.12]), date="2031-05-18", by="Bo")
    return mine, other


def said(capsys, *arguments: str) -> tuple[int, str, str]:
    code = 0
    try:
        main(list(arguments))
    except SystemExit as left:
        code = int(left.code or 0)
    out = capsys.readouterr()
    return code, out.out, out.err


def test_the_command_that_is_named_brings_back_that_holder_and_no_other(folder, pair, capsys):
    mine, other = pair
    third = file_holder(folder, read_holder(path_of(folder, mine)).recipe, readings([26.1])).id
    before = {each: path_of(folder, each).read_bytes() for each in (mine, other)}
    spaced = folder.rename(folder.parent / "my drawer")
    _, out, _ = said(capsys, "retire", third, "--drawer", str(spaced), "--reason", "lost")
    assert "undo" not in out
    command = out.split("to bring it back: nests ")[1]
    code, out, _ = said(capsys, *shlex.split(command))
    assert (code, out.rstrip().endswith("in use again.")) == (0, True)
    assert {each: path_of(spaced, each).read_bytes() for each in (mine, other)} == before
    assert states(spaced)[third] == "in use"


def test_what_is_refused_of_a_retired_holder_names_that_command(folder, pair):
    with pytest.raises(BadInput, match=f"to bring it back: nests reinstate {pair[0]} --drawer"):
        measure(folder, pair[0], readings([26.1]))


def test_a_holder_comes_back_as_it_stood(folder, plain):
    kept = file_holder(folder, plain, readings([26.08]))
    measure(folder, kept.id, readings([26.2]))
    retire(folder, kept.id, "in the way")
    back = reinstate(folder, kept.id, date="2031-06-01", by="Ann", note="found again").now
    assert (back.did, back.state) == ("reinstated", "worn")
    assert (back.by, back.note) == ("Ann", "found again")
    assert back.readings.mean("seat") == pytest.approx(26.2)
    assert "has changed by" in back.reason
    with pytest.raises(BadInput, match="is worn; only a retired holder is brought back"):
        reinstate(folder, kept.id)
    assert undo(folder).kept.now.state == "retired"
    assert undo(folder).kept.now.state == "worn"


def test_undo_says_what_it_will_undo_and_asks(folder, pair, capsys, monkeypatch):
    words = "'measured' of M2-J"
    assert next_undo(folder).words().startswith(words)
    before = numbers(folder)
    code, out, err = said(capsys, "drawer", "undo", "--drawer", str(folder))
    assert code == 2
    assert words in out
    assert "2031-05-18, by Bo" in out
    assert err.count("\n") == 1
    assert "--yes" in err
    for answer, code in (("n\n", 1), ("", 1), ("y\n", 0)):
        assert numbers(folder) == before
        typed = io.StringIO(answer)
        typed.isatty = lambda: True  # type: ignore[method-assign]
        monkeypatch.setattr("sys.stdin", typed)
        ended, out, err = said(capsys, "drawer", "undo", "--drawer", str(folder))
        assert (ended, "Traceback" in err) == (code, False)
        assert "Undo it?" in out
    assert numbers(folder) == [*before, before[-1] + 1]


def test_what_was_said_is_undone_or_nothing(folder, pair):
    wanted = next_undo(folder)
    retire(folder, pair[1], "dropped", by="Cy")
    with pytest.raises(BadInput, match=r"nothing was undone.*'retired' of M2-J.*by Cy"):
        undo(folder, only=wanted.change.number)
    assert states(folder)[pair[1]] == "retired"


def test_redo_walks_forward_through_all_that_was_undone(folder, pair):
    stood = {each: read_holder(path_of(folder, each)).now for each in pair}
    steps = [undo(folder) for _ in range(4)]
    assert set(states(folder).values()) == {"retired"}  # both filings are undone
    again = [redo(folder, by="Cy") for _ in range(4)]
    assert [s.change for s in again] == [s.change for s in reversed(steps)]
    assert [s.change.did for s in again] == ["filed", "filed", "retired", "measured"]
    for each in pair:
        now = read_holder(path_of(folder, each)).now
        assert (now.did, now.by) == ("redone", "Cy")
        assert (now.state, now.reason) == (stood[each].state, stood[each].reason)
        assert now.readings == stood[each].readings
    with pytest.raises(BadInput, match="nothing to redo"):
        redo(folder)
    assert [undo(folder).change.number for _ in range(2)] == [4, 3]
    assert redo(folder).change.number == 3
    assert undo(folder).change.number == 3
    assert [redo(folder).change.number for _ in range(2)] == [3, 4]
    assert numbers(folder) == list(range(1, 19))


def test_a_new_change_ends_redoing_and_says_so(folder, pair, capsys):
    mine, other = pair
    undo(folder)
    undo(folder)
    code, _, err = said(capsys, "retire", other, "--drawer", str(folder), "--reason", "lost")
    assert code == 0
    assert "note: what was undone of" in err
    assert mine in err
    assert other in err
    assert "can no longer be redone" in err
    with pytest.raises(BadInput, match=f"'retired' of {other} was done after the last undoing"):
        redo(folder)
    # said once, and undoing that very change does not revive what had ended
    _, _, err = said(capsys, "reinstate", other, "--drawer", str(folder))
    assert err == ""
    assert [undo(folder).change.did for _ in range(2)] == ["reinstated", "retired"]
    assert [redo(folder).change.did for _ in range(2)] == ["retired", "reinstated"]
    with pytest.raises(BadInput, match="nothing to redo"):
        redo(folder)


def test_random_walks_agree_with_two_plain_stacks(folder, plain):
    """Every undo and redo against lists kept beside it, as any editor does it."""
    chance = random.Random(20310517)
    ids = [file_holder(folder, plain, readings([26.1])).id for _ in range(3)]
    done: list[tuple[str, str]] = [("filed", each) for each in ids]
    undone: list[tuple[str, str]] = []
    for _ in range(120):
        what = chance.choice(["undo", "undo", "redo", "redo", "change"])
        if what == "undo" and done:
            step = undo(folder)
            undone.append(done.pop())
            assert (step.change.did, step.kept.id) == undone[-1]
        elif what == "redo" and undone:
            step = redo(folder)
            done.append(undone.pop())
            assert (step.change.did, step.kept.id) == done[-1]
        elif what == "redo":
            with pytest.raises(BadInput, match="nothing to redo"):
                redo(folder)
        elif what == "change":
            each = chance.choice(ids)
            retired = states(folder)[each] == "retired"
            if retired:
                reinstate(folder, each)
            else:
                retire(folder, each, "lost")
            done.append(("reinstated" if retired else "retired", each))
            undone.clear()
    count = len(numbers(folder))
    assert numbers(folder) == list(range(1, count + 1))


def test_documents_without_the_new_words_are_read(folder, plain):
    """Undone by a program that knew nothing of redoing: it can be redone all the same."""
    kept = file_holder(folder, plain, readings([26.1]), by="Ann")
    retire(folder, kept.id, "lost")
    undo(folder)
    path = path_of(folder, kept.id)
    lines = path.read_text().splitlines(keepends=True)
    path.write_text("".join(line for line in lines if '"by"' not in line))
    assert redo(folder).kept.now.state == "retired"


@pytest.mark.parametrize(
    ("line", "spoilt"),
    [
        ('"undoes": 2', '"undoes": 7'),
        ('"undoes": 2', '"undoes": 3'),
        ('"redoes": 3', '"redoes": 2'),
        ('"redoes": 3', '"redoes": 9'),
    ],
)
def test_a_history_that_names_what_is_not_there_is_refused(folder, plain, line, spoilt):
    kept = file_holder(folder, plain, readings([26.1]))
    retire(folder, kept.id, "lost")
    undo(folder)
    redo(folder)
    path = path_of(folder, kept.id)
    assert path.read_text().count(line) == 1
    path.write_text(path.read_text().replace(line, spoilt))
    with pytest.raises(BadInput, match="no change of this holder that can be"):
        read_holder(path)
    with pytest.raises(BadInput, match="nothing to redo"):
        redo(folder)


FORK = multiprocessing.get_context("fork") if hasattr(os, "fork") else None


def busy(folder, plain, seed: int) -> None:
    """File, retire, bring back, undo and redo without pause; what is refused is left."""
    chance = random.Random(seed)

    def one() -> str:
        return chance.choice(list(states(folder)))

    deeds = (
        lambda: file_holder(folder, plain, readings([26.1])),
        lambda: retire(folder, one(), "lost"),
        lambda: reinstate(folder, one()),
        lambda: undo(folder),
        lambda: redo(folder),
    )
    while True:
        try:
            chance.choice(deeds)()
        except BadInput as error:
            assert "retired" in str(error) or "nothing to" in str(error)  # noqa: PT017


@pytest.mark.skipif(FORK is None, reason="processes are forked here")
@pytest.mark.parametrize("kills", [12, pytest.param(150, marks=pytest.mark.slow)])
def test_undoing_and_redoing_under_kills(folder, plain, kills):
    """Two at it, one after the other killed: every document whole, every number given once, and
    every undoing and redoing names a change that is there, once."""
    file_holder(folder, plain, readings([26.1]))
    chance = random.Random(5)

    def started(seed: int):
        child = FORK.Process(target=busy, args=(folder, plain, seed))
        child.start()
        return child

    running = [started(-1), started(-2)]
    for seed in range(kills):
        time.sleep(chance.uniform(0.0, 0.15))
        child = running.pop(0)
        assert child.exitcode is None, "it ended by itself"
        os.kill(child.pid, signal.SIGKILL)
        child.join()
        running.append(started(seed))
    for child in running:
        child.kill()
        child.join()
    file_holder(folder, plain, readings([26.1]))
    assert numbers(folder) == list(range(1, len(numbers(folder)) + 1))
    for kept in every_holder(folder)[0]:
        own = {each.number: each for each in kept.history}
        for each in kept.history:
            if each.did == "undone":
                assert own[each.undoes].did not in ("undone", "redone")
            if each.did == "redone":
                assert own[each.redoes].did == "undone"
        redone = [each.redoes for each in kept.history if each.did == "redone"]
        assert len(set(redone)) == len(redone)
