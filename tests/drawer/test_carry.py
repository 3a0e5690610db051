"""A drawer as one file, and back."""

from __future__ import annotations

import io
import os
import tracemalloc
import zipfile
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nests.documents.files import LARGEST
from nests.drawer import carry
from nests.drawer.carry import export, import_drawer
from nests.drawer.filing import file_holder, measure, retire
from nests.drawer.history import undo
from nests.drawer.shelf import every_holder, stamps
from nests.units import BadInput

from .conftest import readings

words = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
seats = st.lists(st.floats(25.7, 26.5), max_size=3)
deeds = st.lists(
    st.one_of(
        st.tuples(st.just("file"), seats, words),
        st.tuples(st.just("measure"), st.lists(st.floats(25.7, 26.5), min_size=1, max_size=3)),
        st.tuples(st.just("retire"), words.filter(str.strip)),
        st.tuples(st.just("undo")),
    ),
    min_size=1,
    max_size=6,
)


def lived(folder: Path, plain, story) -> None:
    """Do what a story says, as far as it can be done."""
    kept = file_holder(folder, plain, readings())
    for deed, *about in story:
        try:
            if deed == "file":
                kept = file_holder(folder, plain, readings(about[0]), note=about[1])
            elif deed == "measure":
                measure(folder, kept.id, readings(about[0]))
            elif deed == "retire":
                retire(folder, kept.id, about[0])
            else:
                undo(folder)
        except BadInput:
            continue


@settings(max_examples=10, deadline=None)
@given(story=deeds)
def test_there_and_back(plain, story):
    with TemporaryDirectory() as name:
        root = Path(name)
        lived(root / "one", plain, story)
        count = export(root / "one", root / "one.zip")
        assert import_drawer(root / "one.zip", root / "two") == count
        documents = {n: (root / "one" / n).read_bytes() for n in stamps(root / "one")}
        assert {n: (root / "two" / n).read_bytes() for n in stamps(root / "two")} == documents
        assert every_holder(root / "two") == every_holder(root / "one")
        export(root / "two", root / "two.zip")
        assert (root / "two.zip").read_bytes() == (root / "one.zip").read_bytes()


@pytest.fixture
def document(folder, plain) -> tuple[str, bytes]:
    """Name and content of a sound document."""
    kept = file_holder(folder, plain, readings())
    return f"{kept.id}.json", (folder / f"{kept.id}.json").read_bytes()


def packed(path: Path, *entries: tuple[str, bytes], deflate: bool = False) -> Path:
    with zipfile.ZipFile(path, "w", 8 if deflate else 0) as out:
        for name, content in entries:
            out.writestr(name, content)
    return path


@pytest.mark.parametrize(
    "name",
    ["../M1-L.json", "/etc/M1-L.json", "a/M1-L.json", "..\\M1-L.json", "C:M1-L.json", ".lock",
     ".index.npz", "M1-L.json/", "M1-L.json\n", "m1-l.json", "M1-L.json.exe"],
)  # fmt: skip
def test_names_that_lead_elsewhere(tmp_path, document, name):
    source = packed(tmp_path / "in.zip", (name, document[1]))
    with pytest.raises(BadInput, match="holders only"):
        import_drawer(source, tmp_path / "new")
    assert not (tmp_path / "new").exists()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["drawer", "in.zip"]


def test_one_bad_document_and_nothing_is_written(tmp_path, document):
    name, content = document
    source = packed(tmp_path / "in.zip", document, ("M2-J.json", content))
    with pytest.raises(BadInput, match=r"M2-J\.json: the holder in it is M1-L"):
        import_drawer(source, tmp_path / "new")
    source = packed(tmp_path / "in.zip", (name, content.replace(b'"rim"', b'"rym"')))
    with pytest.raises(BadInput, match="lacks the field 'rim'"):
        import_drawer(source, tmp_path / "new")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["drawer", "in.zip"]


def test_twins_are_refused(tmp_path, document):
    with pytest.warns(UserWarning, match="Duplicate"):
        source = packed(tmp_path / "in.zip", document, document)
    with pytest.raises(BadInput, match="twice"):
        import_drawer(source, tmp_path / "new")


def test_a_bomb_is_not_unpacked(tmp_path):
    """100 MB of blanks in 100 kB: little more than one document may have is ever in memory."""
    source = packed(tmp_path / "in.zip", ("M1-L.json", b" " * 100_000_000), deflate=True)
    assert source.stat().st_size < 150_000
    tracemalloc.start()
    with pytest.raises(BadInput, match="unpacks to more"):
        import_drawer(source, tmp_path / "new")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 3 * LARGEST


def test_a_bomb_that_lies_about_its_size(tmp_path):
    """The directory says 10 bytes; what counts is what comes out."""
    source = packed(tmp_path / "in.zip", ("M1-L.json", b" " * 40_000_000), deflate=True)
    true, false = (40_000_000).to_bytes(4, "little"), (10).to_bytes(4, "little")
    source.write_bytes(source.read_bytes().replace(true, false))
    with pytest.raises(BadInput):
        import_drawer(source, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_many_small_ones_are_too_much_together(tmp_path, monkeypatch):
    monkeypatch.setattr(carry, "MOST_BYTES", 1000)
    entries = [(f"M{n}-L.json", b" " * 300) for n in range(1, 6)]
    with pytest.raises(BadInput, match="unpacks to more"):
        import_drawer(packed(tmp_path / "in.zip", *entries), tmp_path / "new")
    monkeypatch.setattr(carry, "MOST_HOLDERS", 4)
    with pytest.raises(BadInput, match="5 entries; at most 4"):
        import_drawer(tmp_path / "in.zip", tmp_path / "new")


@settings(max_examples=40, deadline=None)
@given(cut=st.integers(0, 4000), flips=st.lists(st.integers(0, 10**6), max_size=4))
def test_a_mutilated_file_costs_one_sentence(plain, cut, flips):
    with TemporaryDirectory() as name:
        root = Path(name)
        file_holder(root / "one", plain, readings())
        export(root / "one", root / "in.zip")
        content = bytearray((root / "in.zip").read_bytes())
        for place in flips:
            content[place % len(content)] ^= 0x5A
        (root / "in.zip").write_bytes(bytes(content[: len(content) - cut]))
        with suppress(BadInput):  # any other exception fails the test
            import_drawer(root / "in.zip", root / "two")
        if (root / "two").exists():
            assert every_holder(root / "two")[1] == ()


def test_nothing_is_overwritten(tmp_path, folder, document):
    export(folder, tmp_path / "out.zip")
    with pytest.raises(BadInput, match="exists already"):
        export(folder, tmp_path / "out.zip")
    before = {name: (folder / name).read_bytes() for name in stamps(folder)}
    assert import_drawer(tmp_path / "out.zip", folder) == 0
    assert {name: (folder / name).read_bytes() for name in stamps(folder)} == before


def test_a_spoilt_document_is_left_out_and_told(tmp_path, folder, document):
    (folder / "M2-J.json").write_text("{")
    said: list[str] = []
    assert export(folder, tmp_path / "out.zip", tell=said.append) == 1
    assert len(said) == 1
    assert "left out: " in said[0]
    assert "M2-J.json" in said[0]
    assert import_drawer(tmp_path / "out.zip", tmp_path / "new") == 1
    (folder / document[0]).write_text("{")
    with pytest.raises(BadInput, match="nothing in"):
        export(folder, tmp_path / "none.zip")
    assert not (tmp_path / "none.zip").exists()


@pytest.mark.parametrize("what", ["pipe", "device", "folder", "circle", "nowhere"])
def test_what_is_imported_must_be_a_file(tmp_path, what):
    source = tmp_path / "in.zip"
    if what == "pipe":
        os.mkfifo(source)
    elif what == "folder":
        source.mkdir()
    elif what != "nowhere":
        source.symlink_to({"device": "/dev/zero", "circle": "in.zip"}[what])
    with pytest.raises(BadInput, match=r"is no file|is not there|symbolic"):
        import_drawer(source, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_a_table_of_millions_of_entries_is_not_read(tmp_path):
    """An end of a ZIP that says its table has 60 MB, and a file that has them (APPNOTE 4.3.16)."""
    source, table = tmp_path / "in.zip", 60_000_000
    with source.open("wb") as out:
        out.truncate(table)
        out.seek(table)
        out.write(b"PK\x05\x06" + bytes(4) + b"\xff\xff\xff\xff"
                  + table.to_bytes(4, "little") + bytes(6))  # fmt: skip
    with pytest.raises(BadInput, match="table of 60000000 bytes"):
        import_drawer(source, tmp_path / "new")


def test_other_programs_can_read_it(tmp_path, folder, document):
    export(folder, tmp_path / "out.zip")
    with zipfile.ZipFile(io.BytesIO((tmp_path / "out.zip").read_bytes())) as read:
        assert read.testzip() is None
        (entry,) = read.infolist()
        assert (entry.filename, read.read(entry)) == document
        assert entry.date_time == (1980, 1, 1, 0, 0, 0)
