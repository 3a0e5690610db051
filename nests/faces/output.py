"""What is said on a terminal, into a file or a pipe: whole, and never at the cost of the work.

A reader that has gone (`| head`) is no fault: the rest is not said, the work is done, and the
verdict stands. What cannot be written (a full disk) is told at the end. A letter that the terminal
has not is spelt out, for a question mark is the mark of what is unknown.
"""

from __future__ import annotations

import codecs
import io
import json
import os
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TextIO

import click

from nests.units import BadInput

SPELT = {
    "⌀": "dia.", "×": "x", "·": "*", "°": " deg", "±": "+/-", "µ": "u", "²": "2", "³": "3",
    "≤": "<=", "≥": ">=", "−": "-", "–": "-", "—": "-", "…": "...", "‘": "'", "’": "'",
    "“": '"', "”": '"', "→": "->",
}  # fmt: skip
"""Signs of our own sentences in letters that every terminal has."""
EVERY = 2.0
"""Seconds between words of progress of what is tried many times."""
_HANDLER = "nests.spelt"


def one_line(text: str) -> str:
    """One line whatever names a document brings: no line breaks, no terminal controls."""
    return "".join(c if c.isprintable() else _byte(c) or " " for c in text)


def now_and_then() -> Callable[[str], None]:
    """Progress where a person looks on, but not of each of many tries."""
    last = time.monotonic()

    def say(text: str) -> None:
        nonlocal last
        if sys.stderr.isatty() and time.monotonic() - last >= EVERY:
            last = time.monotonic()
            click.echo(one_line(text), err=True)

    return say


def as_json(data: Mapping[str, Any]) -> str:
    """Data as JSON, in letters that the output can show."""
    out = sys.stdout
    letters = out.letters if isinstance(out, _Text) else getattr(out, "encoding", None)
    plain = codecs.lookup(letters or "utf-8").name != "utf-8"
    try:
        text = json.dumps(data, indent=1, ensure_ascii=plain)
        text.encode("utf-8")
    except UnicodeEncodeError:  # the name of a file that is no text
        return json.dumps(data, indent=1)
    return text


def require_text(arguments: Sequence[str]) -> None:
    """Raise `BadInput` for an argument that is no text here, unless it names what is there."""
    for each in arguments:
        named = each.partition("=")[2] if each.startswith("--") else each
        if any(_byte(c) for c in each) and not os.path.lexists(named):
            coding = sys.getfilesystemencoding()
            raise BadInput(f"the argument '{each}' is no text in the {coding} of this terminal.")


@contextmanager
def guarded() -> Iterator[None]:
    """Standard output and error that never fail while the block runs.

    Leaves by `SystemExit` 2, with a sentence, if what was said could not be written.
    """
    codecs.register_error(_HANDLER, _spelt)
    before = sys.stdout, sys.stderr
    if None in (sys.stdin, *before):
        _fill_up()
    out, err = _Outlet.of(before[0]), _Outlet.of(before[1])
    sys.stdout, sys.stderr = out.text or sys.stdout, err.text or sys.stderr
    try:
        yield
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        if out.fault is not None:
            reason = out.fault.strerror or out.fault
            click.echo(f"nests: the output cannot be written: {reason}.", err=True)
        sys.stdout, sys.stderr = before
        if out.fault is not None:
            sys.exit(2)


def _fill_up() -> None:
    """Where a standard stream was closed, its number leads nowhere, and not to the next file that
    is opened."""
    while (handle := os.open(os.devnull, os.O_RDWR)) <= 2:
        os.set_inheritable(handle, True)
    os.close(handle)
    nowhere = Path(os.devnull)
    sys.stdin = sys.stdin or nowhere.open(encoding="utf-8")
    sys.stdout = sys.stdout or nowhere.open("w", encoding="utf-8")
    sys.stderr = sys.stderr or nowhere.open("w", encoding="utf-8")


class _Outlet(io.RawIOBase):
    """What lies below a stream. The first fault is kept, and all that follows is dropped."""

    def __init__(self, raw: Any) -> None:
        self.raw, self.fault, self.gone = raw, None, False
        self.text: TextIO | None = None

    fault: OSError | None

    @classmethod
    def of(cls, stream: Any) -> _Outlet:
        """The outlet of a stream, with a text stream into it where it is one of the system."""
        buffer = getattr(stream, "buffer", None)
        raw = getattr(buffer, "raw", buffer)
        made = cls(raw)
        if isinstance(raw, io.RawIOBase):
            stream.flush()
            made.text = _Text(
                io.BufferedWriter(made), stream.encoding, _HANDLER, line_buffering=True
            )
        return made

    def writable(self) -> bool:
        """It is."""
        return True

    def fileno(self) -> int:
        """That of the stream."""
        return int(self.raw.fileno())

    def isatty(self) -> bool:
        """As the stream is."""
        return bool(self.raw.isatty())

    def write(self, data: Any) -> int:
        """Write what can be written, and say that all was."""
        if self.fault is None and not self.gone:
            try:
                return int(self.raw.write(data) or 0)
            except BrokenPipeError:
                self.gone = True
            except OSError as error:
                self.fault = error
        return len(data)


class _Text(io.TextIOWrapper):
    """Text in the encoding of the stream."""

    @property
    def letters(self) -> str:
        """The encoding there is."""
        return super().encoding

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """Never said to be ASCII: click would write UTF-8 past it."""
        return "utf-8" if codecs.lookup(self.letters).name == "ascii" else self.letters


def _spelt(error: UnicodeError) -> tuple[str, int]:
    """What stands for letters that an encoding has not."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    letters = error.object[error.start : error.end]
    return "".join(SPELT.get(c) or _byte(c) or f"[U+{ord(c):04X}]" for c in letters), error.end


def _byte(letter: str) -> str:
    """A byte that was no text, as it is written in a string (PEP 383); nothing for a letter."""
    return f"\\x{ord(letter) - 0xDC00:02x}" if "\udc80" <= letter <= "\udcff" else ""
