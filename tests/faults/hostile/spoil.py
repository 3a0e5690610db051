"""What can be done to a document: each mechanism a function, and the sources they are done to."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from tests.faults.hostile.row import Plant, Row
from tests.faults.hostile.running import inside

Data = dict[str, Any]
Steps = tuple[str | int, ...]
Content = bytes | Callable[[], bytes]
FILE = "given.json"


def text(data: Any) -> bytes:
    """A document as bytes; numbers that JSON has not are written as Python does."""
    return json.dumps(data, ensure_ascii=False).encode("utf-8", "surrogatepass")


def shown(steps: Steps) -> str:
    """A path as sentences write it."""
    return "".join(f"[{s}]" if isinstance(s, int) else f".{s}" for s in steps).lstrip(".")


def at(data: Any, steps: Steps) -> Any:
    """What stands under a path; an object that is left out, because nothing in it differs from what
    is usual, is put there."""
    for step in steps:
        data = data.setdefault(step, {}) if isinstance(data, dict) else data[step]
    return data


def put(data: Data, steps: Steps, value: Any) -> bytes:
    """The document with a value under a path."""
    spoilt = json.loads(json.dumps(data))
    at(spoilt, steps[:-1])[steps[-1]] = value
    return text(spoilt)


def raw(data: Data, steps: Steps, value: str) -> bytes:
    """The document with a piece of text under a path that is no JSON, or more than it can be."""
    return put(data, steps, "<here>").replace(b'"<here>"', value.encode())


def without(data: Data, steps: Steps) -> bytes:
    """The document without a field."""
    spoilt = json.loads(json.dumps(data))
    del at(spoilt, steps[:-1])[steps[-1]]
    return text(spoilt)


def twice(data: Data, steps: Steps) -> bytes:
    """The document with a field given two times."""
    name, value = json.dumps(steps[-1]), json.dumps(at(data, steps))
    one = f"{name}: {value}".encode()
    whole = put(data, steps, "<here>").replace(f'{name}: "<here>"'.encode(), one + b", " + one)
    return whole


def misspelt(data: Data, steps: Steps) -> bytes:
    """The document with the first letter of a field moved to its end."""
    spoilt = json.loads(json.dumps(data))
    above, name = at(spoilt, steps[:-1]), str(steps[-1])
    above[name[1:] + name[0]] = above.pop(name, 1.0)
    return text(spoilt)


def repeated(data: Data, steps: Steps, times: int = 2) -> bytes:
    """The document with the first entry of a list so many times."""
    spoilt = json.loads(json.dumps(data))
    entries = at(spoilt, steps)
    entries[:] = [entries[0]] * times
    return text(spoilt)


def holds(content: Content, name: str = FILE, *arguments: str) -> Plant:
    """A file of this content, and the line that has it checked."""

    def plant(folder: Path) -> Sequence[str]:
        (folder / name).write_bytes(content if isinstance(content, bytes) else content())
        return arguments or ("check", name)

    return plant


def checked(
    kind: str, field: str, mechanism: str, content: Content, *names: str, code: int = 2
) -> Row:
    """A document that `nests check` is to refuse, or to stop with code 1."""
    return Row(kind, field, mechanism, holds(content), inside, code, names)
