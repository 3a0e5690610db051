"""The gallery is built over what it wrote itself, and over nothing else."""

from __future__ import annotations

import json
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from nests.documents.files import data_folder
from nests.orders import gallery
from nests.units import BadInput

PIECE = gallery.PIECES[0]
PICTURE = f"{PIECE.slug()}.png"


@pytest.fixture
def one_piece(monkeypatch: pytest.MonkeyPatch) -> None:
    """A gallery of one piece, built in this process."""

    def here(task: Any, arguments: Any, count: int) -> Iterator[Any]:
        return (task(*each) for each in arguments)

    monkeypatch.setattr(gallery, "PIECES", (PIECE,))
    monkeypatch.setattr(gallery, "each_done", here)


@pytest.mark.slow
def test_built_again_over_itself_and_over_nothing_else(tmp_path: Path, one_piece: None) -> None:
    assert len(list(gallery.make_all(tmp_path))) == 1
    picture = tmp_path / "pictures" / PICTURE
    pack = tmp_path / "packs" / PIECE.slug()
    list_ = tmp_path / "pictures" / "contents.json"
    was = picture.read_bytes()
    assert json.loads(list_.read_text())["sha256"][PICTURE] == sha256(was).hexdigest()
    list_.unlink()  # as after a run that was ended before all was done: the pack's list knows it
    list(gallery.make_all(tmp_path))
    assert picture.read_bytes() == was
    (pack / "note.txt").write_text("mine")
    with pytest.raises(BadInput, match=r"note\.txt"):
        list(gallery.make_all(tmp_path))
    (pack / "note.txt").unlink()
    picture.write_bytes(b"mine")
    with pytest.raises(BadInput, match=PICTURE):
        list(gallery.make_all(tmp_path))
    assert picture.read_bytes() == b"mine"


@pytest.mark.parametrize("place", [f"packs/{PIECE.slug()}/note.txt", f"pictures/{PICTURE}"])
def test_what_stands_in_its_way_is_named_before_anything_is_built(
    tmp_path: Path, place: str
) -> None:
    (tmp_path / place).parent.mkdir(parents=True)
    (tmp_path / place).write_text("mine")
    with pytest.raises(BadInput) as refused:
        list(gallery.make_all(tmp_path))
    assert PIECE.slug() in str(refused.value)
    files = [each for each in tmp_path.rglob("*") if each.is_file()]
    assert [each.read_text() for each in files] == ["mine"]


def test_where_no_gallery_can_be_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    for place in (tmp_path / "file", tmp_path / "loop", tmp_path / ("n" * 300)):
        with pytest.raises(BadInput, match="cannot be written"):
            list(gallery.make_all(place))


def test_the_pictures_of_a_checkout_are_on_their_list() -> None:
    """Else the first command of the README would refuse to build over them."""
    folder = data_folder("gallery") / "pictures"
    known = json.loads((folder / "contents.json").read_text("utf-8"))["sha256"]
    mine = {f"{each.slug()}{end}.png" for each in gallery.PIECES for end in ("", "-exploded")}
    there = {each.name: each.read_bytes() for each in folder.iterdir() if each.name in mine}
    assert len(there) > 50
    assert {name: known.get(name) for name in there} == {
        name: sha256(content).hexdigest() for name, content in there.items()
    }
