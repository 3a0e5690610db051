"""What is read has an end: no device, pipe or length of a path makes the program wait or break."""

from __future__ import annotations

import json
import os
import threading
import time
import tracemalloc
from pathlib import Path

import pytest

from nests.documents import reading
from nests.documents.files import LARGEST, data_folder, read_json
from nests.documents.reading import is_folder, lies_at, read_bounded, require_free
from nests.kinds import read_any
from nests.units import BadInput

SHEET = data_folder("gallery") / "sheets" / "inv-26-a.json"
pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with names are of POSIX")


def test_a_device_without_end_is_read_to_a_bound():
    tracemalloc.start()
    begun = time.monotonic()
    with pytest.raises(BadInput, match=f"more than {LARGEST} bytes; at most {LARGEST}"):
        read_json(Path("/dev/zero"))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 3 * LARGEST
    assert time.monotonic() - begun < 10


def feed(path: Path, parts: list[bytes], pause: float = 0.0) -> threading.Thread:
    """Write into a pipe from beside, until nobody reads any more."""

    def work() -> None:
        try:
            with path.open("wb", buffering=0) as out:
                for part in parts:
                    time.sleep(pause)
                    out.write(part)
        except BrokenPipeError:
            pass

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    return thread


@pytest.fixture
def pipe(tmp_path: Path) -> Path:
    os.mkfifo(tmp_path / "pipe")
    return tmp_path / "pipe"


def test_a_document_out_of_a_pipe_is_read(pipe):
    content = SHEET.read_bytes()
    writer = feed(pipe, [content[:100], content[100:]], pause=0.2)
    assert read_any(pipe) == read_any(SHEET)
    writer.join()


def test_a_pipe_without_end_is_read_to_a_bound(pipe):
    writer = feed(pipe, [b" " * 100_000] * 1000)
    with pytest.raises(BadInput, match="more than 1000000 bytes"):
        read_bounded(pipe, 1_000_000)
    writer.join()


def test_a_pipe_nobody_writes_into_is_given_up(pipe, monkeypatch):
    monkeypatch.setattr(reading, "SILENCE", 0.3)
    with pytest.raises(BadInput, match=r"given nothing for 0\.3 s"):
        read_json(pipe)


def test_a_pipe_that_drips_is_given_up(pipe, monkeypatch):
    monkeypatch.setattr(reading, "LONGEST", 0.5)
    writer = feed(pipe, [b" "] * 12, pause=0.1)
    with pytest.raises(BadInput, match=r"not come to its end in 0\.5 s"):
        read_json(pipe)
    writer.join()


@pytest.mark.parametrize(
    ("name", "says"),
    [("x" * 300, "too long"), ("circle", "symbolic"), ("folder", "directory"),
     ("no", "No such file"), ("a\0b", "null")],
)  # fmt: skip
def test_a_path_that_leads_nowhere_costs_one_sentence(tmp_path, name, says):
    (tmp_path / "circle").symlink_to("circle")
    (tmp_path / "folder").mkdir()
    with pytest.raises(BadInput, match=says) as caught:
        read_json(tmp_path / name)
    assert len(str(caught.value)) < 400
    if says in ("too long", "symbolic", "null"):
        with pytest.raises(BadInput, match=says):
            is_folder(tmp_path / name)
        with pytest.raises(BadInput, match=says):
            require_free(tmp_path / name)
    assert (lies_at(tmp_path / "folder") is None, lies_at(tmp_path / "no") is None) == (False, True)


@pytest.mark.slow
def test_a_document_with_millions_of_faults_has_one_sentence(tmp_path):
    """As many wrong arbors as a document may have bytes for: told in seconds, in bounded memory."""
    data = json.loads(SHEET.read_text("utf-8"))
    data["arbors"] = [0] * 3_000_000
    (tmp_path / "sheet.json").write_text(json.dumps(data))
    begun = time.monotonic()
    with pytest.raises(BadInput, match=r"arbors\[0\] is 0"):
        read_any(tmp_path / "sheet.json")
    assert time.monotonic() - begun < 60
