"""The index: quick, and never believed over the documents."""

from __future__ import annotations

import os
import random
import zipfile
from dataclasses import replace

import numpy as np
import pytest

from nests.drawer import index as table
from nests.drawer.filing import file_holder, measure, retire
from nests.drawer.index import NAME, fresh_index
from nests.drawer.search import find, find_diameter
from nests.drawer.shelf import path_of

from .conftest import readings, sheet


def ids(folder, diameter=26.0):
    return sorted(each.id for each in find_diameter(folder, diameter, 0.1).matches)


@pytest.fixture
def three(folder, hands, plain, cased):
    return [file_holder(folder, each, readings()).id for each in (hands, plain, cased)]


def test_a_document_changed_by_hand_is_read_again(folder, three):
    assert ids(folder) == sorted(three[:2])
    path = path_of(folder, three[0])
    text = path.read_text().replace('"state": "in use"', '"state": "retired", "reason": "lost"')
    path.write_text(text.replace('"did": "filed"', '"did": "filed", "state": "retired", '
                                 '"reason": "lost"'))  # fmt: skip
    assert ids(folder) == [three[1]]


def test_a_change_within_one_tick_and_of_one_size_is_seen(folder, three):
    """The document keeps its size and its time; only the age of the index tells."""
    assert ids(folder) == sorted(three[:2])
    path = path_of(folder, three[1])
    stamp = path.stat().st_mtime_ns
    text = path.read_text()
    assert text.count('"diameter": 26.0') == 1
    path.write_text(text.replace('"diameter": 26.0', '"diameter": 29.0'))
    os.utime(path, ns=(stamp, stamp))
    os.utime(folder / NAME, ns=(stamp, stamp))
    assert ids(folder) == [three[0]]


def test_a_document_taken_away_is_gone(folder, three):
    assert ids(folder) == sorted(three[:2])
    path_of(folder, three[0]).unlink()
    assert ids(folder) == [three[1]]


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 nonsense", b"\x93NUMPY", os.urandom(400)])
def test_a_broken_index_is_made_anew(folder, three, content):
    (folder / NAME).write_bytes(content)
    assert ids(folder) == sorted(three[:2])


def test_an_index_of_other_columns_is_made_anew(folder, three):
    np.savez(folder / "other.npz", holders=np.zeros(1), seats=np.zeros(1), tips=np.zeros(1),
             faults=np.zeros(1))  # fmt: skip
    (folder / "other.npz").replace(folder / NAME)
    assert ids(folder) == sorted(three[:2])


def test_an_index_that_lies_is_held_against_the_document(folder, three):
    """A case holder that the index calls a movement holder of the right ⌀ is still refused."""
    made = fresh_index(folder)
    seats = made.seats.copy()
    case = [made.name(row) for row in seats["holder"]].index(f"{three[2]}.json")
    seats["carries"][case], seats["bore"][case], seats["takes"][case] = "movement", 26.1, 26.0
    seats["up"][case] = "dial"
    table._save(folder / NAME, replace(made, seats=seats))
    later = max(p.stat().st_mtime_ns for p in folder.glob("*.json")) + 10 * table.GRAIN
    os.utime(folder / NAME, ns=(later, later))
    assert three[2] in ids(folder), "the lie must have been read, or nothing is tested"
    found = find(folder, sheet("inv-26-a"))
    assert three[2] not in [each.kept.id for each in found.judged]
    assert any(three[2] in says for says in found.unusable)


def test_rows_stay_together_through_changes(folder, hands, plain, cased):
    """Kept rows and new rows give the same tables as reading everything anew."""
    made = [file_holder(folder, each, readings()) for each in (hands, cased, plain, hands)]
    retire(folder, made[0].id, "lost")
    measure(folder, made[2].id, readings([26.15]))
    path_of(folder, made[1].id).unlink()
    grown = fresh_index(folder)
    (folder / NAME).unlink()
    anew = fresh_index(folder)

    def flat(index):
        tips = [(index.name(index.seats["holder"][t["seat"]]), *t.tolist()[1:]) for t in index.tips]
        seats = [(index.name(s["holder"]), *s.tolist()[1:]) for s in index.seats]
        ways = [(index.name(index.seats["holder"][w["seat"]]), *w.tolist()[1:]) for w in index.ways]
        return sorted(index.holders.tolist()), sorted(seats), sorted(tips), sorted(ways)

    assert flat(grown) == flat(anew)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda text: text[: len(text) // 2],
        lambda text: "",
        lambda text: text.replace('"kind"', '"kin"') if '"kind"' in text else "[]",
        lambda text: text.replace('"rim": ', '"rim": "wide", "rym": '),
        lambda text: text.replace('"history"', '"story"'),
        lambda text: text.replace('"did": "filed"', '"did": "found"'),
        lambda text: text.replace('"document": "kept-holder"', '"document": "recipe"'),
    ],
    ids=["half", "empty", "field", "type", "history", "deed", "kind"],
)
def test_a_spoilt_document_is_named_and_the_others_are_found(folder, three, spoil):
    path = path_of(folder, three[1])
    path.write_text(spoil(path.read_text()))
    found = find_diameter(folder, 26.0, 0.1)
    assert [each.id for each in found.matches] == [three[0]]
    (says,) = found.unusable
    assert path.name in says
    assert says.count("\n") == 0
    assert find_diameter(folder, 26.0, 0.1).unusable == (says,), "the second look says the same"


def test_a_copy_under_another_name_is_named(folder, three):
    (folder / "copy.json").write_bytes(path_of(folder, three[0]).read_bytes())
    found = find_diameter(folder, 26.0, 0.1)
    assert sorted(each.id for each in found.matches) == sorted(three[:2])
    (says,) = found.unusable
    assert "copy.json" in says


def test_a_drawer_that_cannot_be_written_is_searched(folder, three, monkeypatch):
    (folder / NAME).unlink()
    monkeypatch.setattr("pathlib.Path.write_bytes", _refused)
    assert ids(folder) == sorted(three[:2])
    assert not (folder / NAME).exists()


def _refused(*_: object) -> None:
    raise PermissionError


@pytest.mark.parametrize("seed", range(2))
def test_an_index_with_bytes_turned_round_is_made_anew(folder, three, seed):
    """Wherever a byte is wrong: in the table of the ZIP, a heading, or a column."""
    expected, chance = ids(folder), random.Random(seed)
    sound = (folder / NAME).read_bytes()
    for _ in range(25):
        content = bytearray(sound)
        for _ in range(chance.randint(1, 3)):
            content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
        (folder / NAME).write_bytes(content[: chance.choice((len(content), len(content), 900))])
        assert ids(folder) == expected


def test_an_index_that_would_unpack_to_anything_is_made_anew(folder, three):
    expected = ids(folder)
    with zipfile.ZipFile(folder / NAME, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("holders.npy", bytes(50_000_000))
    assert (folder / NAME).stat().st_size < 100_000
    assert ids(folder) == expected
