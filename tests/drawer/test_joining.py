"""Two drawers become one: nothing of either is lost, and what became of each holder is told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nests.drawer.carry import export, import_drawer
from nests.drawer.filing import file_holder, measure, retire
from nests.drawer.history import next_undo, redo, undo
from nests.drawer.search import listed
from nests.drawer.shelf import every_holder, path_of, read_holder, stamps, written
from nests.faces.cli import main
from nests.kinds.kept import make_id
from nests.units import BadInput

from .conftest import readings


@pytest.fixture
def both(tmp_path, hands, plain, cased):
    """Two drawers whose first ids are of other holders, and the second packed into a file."""
    here, there = tmp_path / "here", tmp_path / "there"
    file_holder(here, hands, readings([26.08]))
    file_holder(there, plain, readings([26.11]), note="of the other bench")
    file_holder(there, cased, readings())
    measure(there, "M1-L", readings([26.12]))
    export(there, tmp_path / "there.zip")
    return here, there, tmp_path / "there.zip"


def contents(folder):
    return {name: (folder / name).read_bytes() for name in stamps(folder)}


def lives(folder):
    """What is known of every holder, without ids and numbers."""
    return sorted(
        (k.recipe.name, [(c.did, c.note, c.state, c.readings.gauged) for c in k.history])
        for k in every_holder(folder)[0]
    )  # fmt: skip


def test_holders_of_both_are_kept_and_told(both):
    here, there, packed = both
    expected, before, said = sorted(lives(here) + lives(there)), contents(here), []
    assert import_drawer(packed, here, tell=said.append) == 2
    assert lives(here) == expected
    assert {n: contents(here)[n] for n in before} == before, "what was there stays as it is"
    (renamed,) = [each for each in said if "another holder" in each]
    new = make_id("movement holder", 2)
    assert (
        f"M1-L of there.zip is another holder than M1-L here; both are kept, it as {new}" in renamed
    )
    assert read_holder(path_of(here, new)).was == "M1-L"
    numbers = sorted(c.number for k in every_holder(here)[0] for c in k.history)
    assert numbers == [1, 2, 3, 4], "every change has a number of its own"


def test_the_same_file_twice_changes_nothing(both):
    here, _, packed = both
    import_drawer(packed, here)
    before, said = contents(here), []
    assert import_drawer(packed, here, tell=said.append) == 0
    assert contents(here) == before
    assert len(said) == 2
    assert all("there already" in each for each in said)


def test_what_happened_later_is_taken_over(both, tmp_path):
    here, there, packed = both
    import_drawer(packed, here)
    retire(there, "M1-L", "cracked")
    undo(there)
    redo(there)
    export(there, tmp_path / "later.zip")
    said: list[str] = []
    assert import_drawer(tmp_path / "later.zip", here, tell=said.append) == 1
    assert any("3 later changes" in each for each in said)
    kept = read_holder(path_of(here, make_id("movement holder", 2)))
    assert [c.did for c in kept.history][-3:] == ["retired", "undone", "redone"]
    assert kept.now.state == "retired"
    assert next_undo(here).change.did == "retired"
    assert undo(here).kept.now.state == "in use"


def test_histories_that_went_apart_are_both_kept(both, tmp_path):
    _, there, packed = both
    other = tmp_path / "other"
    import_drawer(packed, other)
    assert contents(other) == contents(there), "a new drawer is the same to the byte"
    retire(there, "M1-L", "cracked")
    measure(other, "M1-L", readings([26.13]))
    export(there, tmp_path / "apart.zip")
    said: list[str] = []
    assert import_drawer(tmp_path / "apart.zip", other, tell=said.append) == 1
    assert read_holder(path_of(other, "M1-L")).now.readings.gauged == {"seat": (26.13,)}
    assert read_holder(path_of(other, make_id("movement holder", 2))).now.state == "retired"


def test_a_document_that_cannot_be_used_keeps_its_place(both):
    here, _, packed = both
    path_of(here, "M1-L").write_text("{")
    assert import_drawer(packed, here) == 2
    assert path_of(here, "M1-L").read_text() == "{"
    assert [holder for holder, _ in listed(here)[0]] == ["C1-O", make_id("movement holder", 2)]


def test_a_second_document_is_taken_in_under_an_id_of_its_own(both, plain):
    here, there, _ = both
    copy = here / "M1-L (1).json"
    copy.write_bytes(path_of(there, "M1-L").read_bytes())
    assert "of another holder" in listed(here)[1][0]
    assert import_drawer(copy, here) == 1
    copy.unlink()
    assert listed(here) == ((("M1-L", "in use"), (make_id("movement holder", 2), "in use")), ())


def test_one_mark_for_two_calibres_is_refused_and_nothing_taken(both, tmp_path, plain):
    here, _, _ = both
    third = tmp_path / "third"
    own = read_holder(path_of(here, "M1-L")).recipe.workpiece
    sheet = replace(plain.workpiece, name="INV 99", mark=own.name)
    file_holder(third, replace(plain, workpiece=sheet), readings())
    export(third, tmp_path / "third.zip")
    before = contents(here)
    with pytest.raises(BadInput, match="two marks"):
        import_drawer(tmp_path / "third.zip", here)
    assert contents(here) == before


def test_one_bad_document_and_nothing_is_taken(both, tmp_path):
    import zipfile

    here, there, _ = both
    before = contents(here)
    with zipfile.ZipFile(tmp_path / "in.zip", "w") as out:
        out.writestr("M1-L.json", path_of(there, "M1-L").read_bytes())
        out.writestr("M2-J.json", b"{")
    with pytest.raises(BadInput, match=r"M2-J\.json"):
        import_drawer(tmp_path / "in.zip", here)
    assert contents(here) == before


def test_numbers_beyond_the_last_are_refused_before_anything_is_written(both, tmp_path):
    here, there, _ = both
    kept = read_holder(path_of(there, "M1-L"))
    last = replace(kept.history[0], number=100_000_000)
    kept = replace(kept, history=(last,))
    (there / "M1-L.json").write_bytes(written(kept))
    before = contents(here)
    with pytest.raises(BadInput, match="Nothing was taken"):
        import_drawer(there / "M1-L.json", here)
    assert contents(here) == before


def test_the_command_says_it(both, capsys):
    here, _, packed = both
    main(["drawer", "import", str(packed), "--drawer", str(here)])
    said = capsys.readouterr()
    assert said.out == f"2 holders taken into {here}.\n"
    assert "give it a new label" in said.err
