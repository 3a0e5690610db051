"""Whatever lies in the folder of a drawer: it is named, left out, and keeps nobody from the rest.

Each spoilt document and each fault of the folder states beforehand what must be named.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from nests.documents.reading import SILENCE
from nests.drawer.filing import file_holder, measure, retire
from nests.drawer.index import NAME, fresh_index
from nests.drawer.search import find_diameter, listed
from nests.drawer.shelf import MOST_CHANGES, every_holder, path_of, written
from nests.faces.cli import main
from nests.holder.recipe import Recipe
from nests.kinds.kept import make_id
from nests.units import BadInput

from .conftest import readings

POSIX = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with names are of POSIX")


@pytest.fixture
def run(capsys):
    def of(*arguments: object) -> tuple[int, str, str]:
        code = 0
        try:
            main([str(each) for each in arguments])
        except SystemExit as left:
            code = int(left.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return of


@pytest.fixture
def pair(folder: Path, hands: Recipe, plain: Recipe) -> tuple[str, str]:
    """Two holders: the first is going to be spoilt, the second must stay in use."""
    return tuple(file_holder(folder, each, readings()).id for each in (hands, plain))  # type: ignore


def spoil(path: Path, *steps: object) -> None:
    """Put a value where a path of keys and numbers leads."""
    data = json.loads(path.read_text("utf-8"))
    *way, last, value = steps
    inner = data
    for step in way:
        inner = inner[step]
    inner[last] = value
    path.write_text(json.dumps(data), "utf-8")


SPOILT = {
    "number null": ("history", 0, "number", None, "number"),
    "number is a fraction": ("history", 0, "number", 1.5, "number"),
    "number 1e9 as a float": ("history", 0, "number", 1e9, "number"),
    "number the highest of the schema": ("history", 0, "number", 10**9, "number"),
    "state a list": ("history", 0, "state", [], "state"),
    "state in capitals": ("history", 0, "state", "Retired", "state"),
    "history empty": ("history", [], "history"),
    "history an object": ("history", {}, "history"),
    "edition 2": ("edition", 2, "edition"),
    "presses an object": ("recipe", "operation", "presses", {}, "presses"),
    "rim true": ("recipe", "workpiece", "rim", True, "rim"),
    "id of another kind": ("id", "C1-O", "C1-O"),
    "line break in the name of the workpiece": ("recipe", "workpiece", "name", "A\nB", "name"),
}


@pytest.mark.parametrize("what", SPOILT)
def test_a_spoilt_document_is_named_by_every_command(folder, pair, run, tmp_path, plain, what):
    *steps, named = SPOILT[what]
    first, second = pair
    spoil(path_of(folder, first), *steps)
    before = path_of(folder, first).read_bytes()

    code, out, err = run("drawer", "list", "--drawer", folder)
    assert (code, out) == (0, f"{second}  in use\n")
    assert err.count("\n") == 1
    assert f"{first}.json" in err
    assert named in err
    assert run("find", "--drawer", folder, "--diameter", 26)[0] == 0
    code, out, err = run("drawer", "labels", "--drawer", folder, "--out", tmp_path / "labels.pdf")
    assert (code, out.startswith("1 holders")) == (0, True)
    code, out, err = run("drawer", "export", "--drawer", folder, "--out", tmp_path / "out.zip")
    assert (code, out.startswith("1 holders")) == (0, True)
    assert f"left out: {first}.json" in err
    code, _, err = run("retire", first, "--drawer", folder, "--reason", "x")
    assert code == 2
    assert f"{first}.json" in err
    assert run("drawer", "check", "--drawer", folder)[0] == 2

    assert retire(folder, second, "lost").now.number == 3
    new = file_holder(folder, plain, readings())
    assert new.id not in pair
    assert path_of(folder, first).read_bytes() == before


def test_the_highest_number_of_a_change_is_said_not_passed(folder, pair, plain):
    """The last number that can be: what comes after it could not be read again."""
    spoil(path_of(folder, pair[0]), "history", 0, "number", MOST_CHANGES)
    with pytest.raises(BadInput, match=f"change {MOST_CHANGES}, the highest"):
        file_holder(folder, plain, readings())
    assert len(listed(folder)[0]) == 2


def test_the_highest_number_of_an_id_does_not_end_the_drawer(folder, pair, plain):
    last = make_id("movement holder", 9_999_999)
    (folder / f"{last}.json").write_text("{")
    assert file_holder(folder, plain, readings()).id == make_id("movement holder", 3)


@POSIX
@pytest.mark.parametrize(
    ("what", "says"),
    [("pipe", "no file"), ("folder", "no file"), ("device", "no file"), ("circle", "symbolic"),
     ("nowhere", "leads nowhere")],
)  # fmt: skip
def test_what_is_no_file_is_named(folder, pair, plain, what, says):
    spoilt = folder / f"{make_id('movement holder', 7)}.json"
    if what == "pipe":
        os.mkfifo(spoilt)
    elif what == "folder":
        spoilt.mkdir()
    else:
        spoilt.symlink_to({"device": "/dev/zero", "circle": spoilt.name, "nowhere": "no"}[what])
    holders, (unusable,) = listed(folder)
    assert [holder for holder, _ in holders] == list(pair)
    assert spoilt.name in unusable
    assert says in unusable
    assert file_holder(folder, plain, readings()).id == make_id("movement holder", 8)


@POSIX
@pytest.mark.parametrize("what", ["pipe", "folder", "device", "circle"])
def test_an_index_that_is_no_file_is_done_without(folder, pair, what):
    index = folder / NAME
    index.unlink()
    if what == "pipe":
        os.mkfifo(index)
    elif what == "folder":
        index.mkdir()
    else:
        index.symlink_to({"device": "/dev/zero", "circle": NAME}[what])
    assert [holder for holder, _ in listed(folder)[0]] == list(pair)
    assert not [each for each in os.listdir(folder) if each.startswith(f"{NAME}.")]


def test_names_as_long_as_a_file_system_takes_them(folder, pair, plain):
    (folder / f"{'x' * 250}.json").write_text("{")
    assert [holder for holder, _ in listed(folder)[0]] == list(pair)
    assert "xxx" in listed(folder)[1][0]
    assert file_holder(folder, plain, readings()).now.number == 3


@POSIX
@pytest.mark.parametrize("what", ["folder", "circle", "pipe"])
def test_a_lock_that_is_none(folder, pair, plain, run, what):
    (folder / ".lock").unlink()
    if what == "folder":
        (folder / ".lock").mkdir()
    elif what == "circle":
        (folder / ".lock").symlink_to(".lock")
    else:
        os.mkfifo(folder / ".lock")
        assert file_holder(folder, plain, readings()).now.number == 3  # it locks as well as a file
        return
    code, _, err = run("retire", pair[0], "--drawer", folder, "--reason", "x")
    assert code == 2
    assert ".lock cannot be the lock" in err
    assert len(listed(folder)[0]) == 2


def test_what_a_dead_writer_left_may_be_anything(folder, pair, plain):
    (folder / ".M1-L.json.123").mkdir()
    (folder / ".M1-L.json.124").write_text("half")
    file_holder(folder, plain, readings())
    assert (folder / ".M1-L.json.123").is_dir()
    assert not (folder / ".M1-L.json.124").exists()


@POSIX
@pytest.mark.parametrize(
    ("what", "says"),
    [("file", "is no folder"), ("pipe", "is no folder"), ("circle", "symbolic"),
     ("long", "too long"), ("nowhere", "there is no drawer")],
)  # fmt: skip
def test_a_drawer_that_is_none(tmp_path, run, what, says):
    folder = tmp_path / ("x" * 300 if what == "long" else "drawer")
    if what == "file":
        folder.write_text("")
    elif what == "pipe":
        os.mkfifo(folder)
    elif what == "circle":
        folder.symlink_to(folder.name)
    for words in (("drawer", "list"), ("drawer", "check"), ("drawer", "undo", "--yes"),
                  ("find", "--diameter", 26), ("retire", "M1-L", "--reason", "x"),
                  ("drawer", "show", "M1-L"), ("drawer", "labels", "--out", tmp_path / "l.pdf"),
                  ("drawer", "export", "--out", tmp_path / "o.zip")):  # fmt: skip
        code, _, err = run(*words, "--drawer", folder)
        assert code == 2, words
        assert says in err, words
        assert err.count("\n") == 1


@POSIX
def test_a_drawer_nobody_may_look_into(folder, pair, run):
    """As a user who has no permission, for root may look everywhere."""
    commands = (("drawer", "list"), ("drawer", "check"), ("find", "--diameter", "26"))
    for words in commands:  # loads all that is needed, while it may be read
        assert run(*words, "--drawer", folder)[0] == 0
    own = os.geteuid()
    folder.chmod(0o000)
    try:
        if own == 0:
            os.seteuid(65534)
        said = [run(*words, "--drawer", folder) for words in commands]
    finally:
        os.seteuid(own)
        folder.chmod(0o755)
    for code, _, err in said:
        assert code == 2
        assert "Permission denied" in err
        assert err.count("\n") == 1


@POSIX
def test_the_index_is_never_believed_about_permission(folder, pair):
    """A document that could not be read is looked at again, though nothing about it changed."""
    made = fresh_index(folder)
    assert made.unusable() == ()
    path = path_of(folder, pair[0])
    text = path.read_bytes()
    path.write_bytes(b"{")
    assert len(fresh_index(folder).unusable()) == 1
    path.write_bytes(text)
    assert fresh_index(folder).unusable() == ()


def test_a_change_of_equal_size_and_time_is_noticed(folder, pair):
    """The index is old enough to be trusted; size and time of change are as they were."""
    path = path_of(folder, pair[1])
    stamp = path.stat().st_mtime_ns - 10**10
    os.utime(path, ns=(stamp, stamp))
    later = path.stat().st_ctime_ns + 10**10
    assert len(find_diameter(folder, 26.0, 0.1).matches) == 2
    os.utime(folder / NAME, ns=(later, later))
    assert fresh_index(folder).unusable() == ()
    text = path.read_text()
    path.write_text(text.replace('"diameter": 26.0', '"diameter": 29.0'))
    os.utime(path, ns=(stamp, stamp))
    assert path.stat().st_size == len(text.encode())
    assert [each.id for each in find_diameter(folder, 26.0, 0.1).matches] == [pair[0]]


def test_another_file_of_equal_size_and_time_is_noticed(folder, pair, tmp_path):
    """The same by putting another file in the place of the document."""
    path = path_of(folder, pair[1])
    about = path.stat()
    os.utime(folder / NAME, ns=(about.st_ctime_ns + 10**10,) * 2)
    other = tmp_path / "other"
    other.write_text(path.read_text().replace('"diameter": 26.0', '"diameter": 29.0'))
    os.utime(other, ns=(about.st_mtime_ns, about.st_mtime_ns))
    other.replace(path)
    assert [each.id for each in find_diameter(folder, 26.0, 0.1).matches] == [pair[0]]


COPIES = ("{} (1).json", "{}-conflict-2031-05-17.json", "{}~other machine.json", "copy of {}.json",
          "{}.json (1)", "{}.json.orig", "{}.JSON")  # fmt: skip
"""Names as programs that keep folders alike give them: some before the ending, some behind it."""


@pytest.mark.parametrize("form", COPIES)
def test_a_second_document_of_one_holder_is_recognised(folder, pair, form, run, tmp_path):
    first = pair[0]
    kept = path_of(folder, first).read_bytes()
    copy = folder / form.format(first)
    copy.write_bytes(kept)
    holders, (same,) = listed(folder)
    assert [holder for holder, _ in holders] == list(pair)
    assert f"{copy.name} is a second document of {first}, the same" in same
    assert fresh_index(folder).unusable(copies=False) == ()

    retire(folder, first, "cracked", date="2031-05-17")
    (differs,) = listed(folder)[1]
    assert f"{copy.name} is a second document of {first}" in differs
    assert "in use after 1 changes in it" in differs
    assert f"retired after 2 changes to 2031-05-17 in {first}.json" in differs
    assert fresh_index(folder).unusable(copies=False) == (differs,)
    code, _, err = run("drawer", "export", "--drawer", folder, "--out", tmp_path / "out.zip")
    assert code == 0
    assert copy.name in err
    assert copy.read_bytes() == kept


def test_a_copy_alone_says_how_it_is_put_right(folder, pair):
    path_of(folder, pair[0]).rename(folder / f"{pair[0]} (1).json")
    (says,) = listed(folder)[1]
    assert f"name it {pair[0]}.json" in says


def test_an_id_that_only_a_copy_has_is_not_given_again(folder, pair, plain):
    path_of(folder, pair[1]).rename(folder / f"{pair[1]} (1).json")
    assert file_holder(folder, plain, readings()).id == make_id("movement holder", 3)


def test_other_files_of_the_workshop_are_left_in_peace(folder, pair):
    for name in ("photograph of M1-L.jpg", "notes.txt", "M1-L.pdf", "list.json.gpg"):
        (folder / name).write_bytes(b"\x89 something")
    assert listed(folder)[1] == ()


def test_labels_overwrite_only_what_they_wrote(folder, pair, run, tmp_path):
    out = tmp_path / "labels.pdf"
    for _ in range(2):
        assert run("drawer", "labels", "--drawer", folder, "--out", out)[0] == 0
    first = out.read_bytes()
    measure(folder, pair[0], readings([26.08]))
    retire(folder, pair[1], "lost")
    assert run("drawer", "labels", "--drawer", folder, "--out", out)[0] == 0
    assert out.read_bytes() != first
    out.write_bytes(out.read_bytes() + b"\n% a note")
    changed = out.read_bytes()
    code, _, err = run("drawer", "labels", "--drawer", folder, "--out", out)
    assert (code, out.read_bytes()) == (2, changed)
    assert "labels.pdf exists already" in err
    document = path_of(folder, pair[0])
    before = document.read_bytes()
    assert run("drawer", "labels", "--drawer", folder, "--out", document)[0] == 2
    assert document.read_bytes() == before
    assert run("drawer", "labels", "--drawer", folder, "--out", folder)[0] == 2


def test_labels_do_not_follow_a_link_that_leads_nowhere(folder, pair, run, tmp_path):
    out = tmp_path / "labels.pdf"
    out.symlink_to("elsewhere")
    assert run("drawer", "labels", "--drawer", folder, "--out", out)[0] == 2
    assert out.is_symlink()


@POSIX
def test_the_pack_that_is_filed_may_be_anything(folder, tmp_path, run):
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "circle").symlink_to("circle")
    (tmp_path / "pack" / "recipe.json").mkdir(parents=True)
    for pack, says in (("circle", "symbolic"), ("x" * 300, "too long"), ("pack", "is no pack"),
                       ("pipe", f"nothing for {SILENCE:g} s")):  # fmt: skip
        code, _, err = run("file", tmp_path / pack, "--drawer", folder)
        assert code == 2
        assert says in err
    assert not folder.exists()


def test_half_a_character_is_never_written(folder, pair, run):
    """A letter of another encoding comes from the system as half a character."""
    before = path_of(folder, pair[0]).read_bytes()
    for words in (("--reason", "\udcff"), ("--reason", "x", "--note", "\udcff"),
                  ("--reason", "x", "--by", "\udcff")):  # fmt: skip
        code, _, err = run("retire", pair[0], "--drawer", folder, *words)
        assert code == 2
        assert "is no text" in err
    assert path_of(folder, pair[0]).read_bytes() == before


def test_a_document_filed_before_is_written_as_before(folder, pair):
    kept = every_holder(folder)[0][0]
    assert b'"was"' not in written(kept)


@pytest.mark.parametrize("letters", [250, 255])
def test_the_longest_name_can_be_written(folder, pair, run, tmp_path, letters):
    """Also where the name a file has while it is written might be longer."""
    for words in ("labels", "export"):
        out = tmp_path / (words[0] * letters)
        code, _, _ = run("drawer", words, "--drawer", folder, "--out", out)
        assert code == 0
        assert out.is_file()


def test_a_name_too_long_to_be_written(folder, pair, run, tmp_path):
    out = tmp_path / ("x" * 300)
    for words in ("labels", "export"):
        code, _, err = run("drawer", words, "--drawer", folder, "--out", out)
        assert code == 2
        assert "too long" in err
    assert not any(each.name.startswith(("x", ".x")) for each in tmp_path.iterdir())
