"""Files that should be a document of any kind, and are not, or not quite, JSON."""

from __future__ import annotations

from collections.abc import Iterator

from tests.faults.hostile.row import Row
from tests.faults.hostile.sources import sheet
from tests.faults.hostile.spoil import checked, text, twice

WHOLE = text(sheet())
DEEP = 100_000
HEAD = b'{"document": "sheet", "edition": 1, "name": '

NO_JSON = {
    "empty": b"",
    "blanks": b" \n\t ",
    "zeros": bytes(64),
    "a page": b"<!doctype html><html><body>404</body></html>",
    "a page that loads a file": b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b SYSTEM '
                                b'"file:///etc/passwd">]><a>&b;</a>',
    "YAML": b"document: sheet\nedition: 1\n",
    "lines of JSON": b'{"document": "sheet"}\n{"document": "sheet"}\n',
    "cut in half": WHOLE[: len(WHOLE) // 2],
    "one bracket too few": WHOLE.rstrip()[:-1],
    "one bracket too many": WHOLE + b"}",
    "two documents": WHOLE + WHOLE,
    "a comma at the end": WHOLE.rstrip()[:-1] + b",}",
    "a comment": b"// a sheet\n" + WHOLE,
    "single quotes": WHOLE.replace(b'"', b"'"),
    "a word without quotes": b'{"document": sheet}',
    "a line break in a text": WHOLE.replace(b'"INV 26-A"', b'"INV\n26-A"', 1),
    "an escape of nobody": b'{"document": "\\x41"}',
    "octal": HEAD[:-8] + b'"rim": 01}',
    "hexadecimal": HEAD[:-8] + b'"rim": 0x1}',
    "a number that ends in its point": HEAD[:-8] + b'"rim": 1.}',
    "a comma for the point": HEAD[:-8] + b'"rim": 1,7}',
    "a conflict of versions": b"<<<<<<< ours\n" + WHOLE
    + b"=======\n" + WHOLE + b">>>>>>> theirs\n",
}  # fmt: skip
NOT_UTF8 = {
    "every byte": bytes(range(256)),
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(40),
    "UTF-16": '{"document": "sheet"}'.encode("utf-16"),
    "UTF-32": '{"document": "sheet"}'.encode("utf-32"),
    "Latin-1": HEAD + '"Réglage"}'.encode("latin-1"),
    "a letter cut off": HEAD + b'"\xe2\x8c"}',
    "overlong": HEAD + b'"\xc0\xaf"}',
    "half a pair as bytes": HEAD + b'"\xed\xa0\x80"}',
    "compressed": b"\x1f\x8b\x08\x00\x00\x00\x00\x00",
}
NO_OBJECT = {
    "a list": (b"[]", "list"),
    "a list of documents": (b"[" + WHOLE + b"]", "list"),
    "a number": (b"26", "int"),
    "a number with a point": (b"26.5", "float"),
    "null": (b"null", "NoneType"),
    "true": (b"true", "bool"),
    "a word": (b'"sheet"', "str"),
}
DEEPLY = {
    "objects, never closed": b'{"a":' * DEEP,
    "lists, never closed": b"[" * DEEP,
    "lists, closed": HEAD + b"[" * DEEP + b"]" * DEEP + b"}",
    "objects, closed": b'{"a":' * DEEP + b"1" + b"}" * DEEP,
}
HUGE = "1" + "0" * 400


def rows() -> Iterator[Row]:
    """Spoilt as text, as JSON, as a document."""
    for what, content in NO_JSON.items():
        yield checked("text", "any text", what, content, "is not JSON")
    yield checked("text", "any text", "a mark of byte order", b"\xef\xbb\xbf" + WHOLE, "JSON")
    for what, content in NOT_UTF8.items():
        yield checked("text", "letters", what, content, "is not UTF-8")
    for what, (content, is_) in NO_OBJECT.items():
        yield checked("text", "the outermost value", what, content, is_, "object is needed")
    for what, content in DEEPLY.items():
        yield checked("text", "nesting", what, content, "nested too deeply")
    for depth in (900, 1000, 3000):
        lists = HEAD + b"[" * depth + b"]" * depth + b"}"
        yield checked("text", "nesting", f"lists {depth} deep for a name", lists, "given.json")
    yield checked("text", "name", "half a character", HEAD + b'"\\ud800"}', "half a character")
    yield checked("text", "a key", "half a character", b'{"\\udfff": 1}', "half a character")
    for name in ("document", "edition", "name"):
        yield checked("text", name, "given twice", twice(sheet(), (name,)), f"'{name}'", "twice")
    twins = twice(sheet(), ("arbors", 0, "name"))
    yield checked("text", "arbors[0].name", "given twice", twins, "'name'", "twice")
    for what, value in {"a list": '["sheet"]', "an object": '{"sheet": 1}', "null": "null",
                        "true": "true", "in capitals": '"SHEET"', "with a blank": '"sheet "',
                        "a path": '"../sheet"', "empty": '""', "long": f'"{"s" * 100_000}"',
                        "with a zero": '"sheet\\u0000"'}.items():  # fmt: skip
        content = f'{{"document": {value}}}'.encode()
        yield checked("text", "document", what, content, "'document'", "allowed is one of")
    for what, value in {"2": "2", "a word": '"1"', "true": "true", "0": "0", "1.5": "1.5",
                        "null": "null", "huge": HUGE}.items():  # fmt: skip
        content = WHOLE.replace(b'"edition": 1', f'"edition": {value}'.encode(), 1)
        yield checked("text", "edition", what, content, "edition" if what != "huge" else "digits")
    many = b'{"document": "sheet", ' + b", ".join(b'"k%d": 1' % k for k in range(200_000)) + b"}"
    yield checked("text", "fields", "two hundred thousand of nobody", many, "lacks the field")
    yield checked(
        "text", "bytes", "more than a document has", b" " * 20_000_001, "at most 20000000"
    )
    lists = HEAD[:-8] + b'"arbors": [' + b",".join([b"7"] * 1_000_000) + b"]}"
    yield checked("text", "arbors", "a million numbers", lists, "arbors[0]")
    yield checked("text", "name", "five million letters", HEAD + b'"' + b"n" * 5_000_000 + b'"}',
                  "lacks the field")  # fmt: skip
    long = b"k" * 5_000_000
    yield checked("text", "a key", "five million letters of nobody", HEAD + b'"", "%b": 1}' % long,
                  "unknown field")  # fmt: skip
    yield checked("text", "a key", "five million letters, twice",
                  HEAD + b'"", "%b": 1, "%b": 1}' % (long, long), "twice")  # fmt: skip
    yield checked("text", "uncertainties", "a key of five million letters",
                  HEAD + b'"", "uncertainties": {"%b": "x"}}' % long, "uncertainties")  # fmt: skip
    yield checked("text", "document", "five million letters",
                  b'{"document": "%b"}' % long, "'document'", "allowed is one of")  # fmt: skip
    each = b'{"name": "a", "at": 7, "jewels": 7, "stray": 1}'
    yield checked("text", "arbors", "a hundred thousand broken entries",
                  HEAD + b'"", "arbors": [' + b",".join([each] * 100_000) + b"]}",
                  "arbors[0]")  # fmt: skip
