"""What is told fast of a document is what a full validator tells, on good documents and spoiled."""

import json
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from nests.documents.accepting import acceptor
from nests.documents.files import data_folder
from nests.given.operation import USUAL
from nests.kinds import CLASSES, document, schemas

GALLERY = data_folder("gallery")
MANY = 400


def parts_of(part: dict[str, Any], data: Any, defined: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    """Every definition that a good document calls upon, with what the document has under it."""
    if "$ref" in part:
        name = part["$ref"].rpartition("/")[2]
        yield name, data
        yield from parts_of(defined[name], data, defined)
    for each in (*part.get("allOf", ()), {k: part[k] for k in ("if", "then") if k in part}):
        rule = {**each.get("if", {"not": {}}), "$defs": defined}
        if Draft202012Validator(rule).is_valid(data):
            yield from parts_of(each["then"], data, defined)
    if isinstance(data, dict):
        for name in data.keys() & part.get("properties", {}).keys():
            yield from parts_of(part["properties"][name], data[name], defined)
    if isinstance(data, list) and "items" in part:
        for each in data[:2]:
            yield from parts_of(part["items"], each, defined)


def spoiled(data: Any) -> Iterator[Any]:
    """The same with one thing in it changed, left out or added, in every way of a list."""
    yield from (None, True, 1, 1.0, 0.5, -1e9, 1e9, "", [], {}, [data], {"extra": data})
    if isinstance(data, dict):
        yield {**data, "extra": 1}
        for name, inner in data.items():
            yield {k: v for k, v in data.items() if k != name}
            yield from ({**data, name: worse} for worse in spoiled(inner))
    if isinstance(data, list):
        for k, inner in enumerate(data):
            yield from ([*data[:k], worse, *data[k + 1 :]] for worse in spoiled(inner))


def good() -> Iterator[dict[str, Any]]:
    """Every sheet and printer of the gallery, and the usual work plan."""
    for folder in ("sheets", "printers"):
        yield from (json.loads(p.read_text("utf-8")) for p in (GALLERY / folder).glob("*.json"))
    yield document(USUAL)


def test_it_tells_what_a_full_validator_tells():
    loaded = {name.partition(".")[0]: json.loads(text) for name, text in schemas().items()}
    found: dict[tuple[str, str, str], Any] = {}
    for data in good():
        schema = loaded[data["document"]]
        assert acceptor(schema)(data)
        for name, inner in parts_of(schema, data, schema["$defs"]):
            if len(text := json.dumps(inner)) < 400:
                found[data["document"], name, text] = inner
    cases = [(kind, name, each) for (kind, name, _), inner in found.items()
             for each in (inner, *spoiled(inner))]  # fmt: skip
    told = []
    for kind, name, data in Random(1).sample(cases, MANY):
        schema = {"$ref": f"#/$defs/{name}", "$defs": loaded[kind]["$defs"]}
        told.append(Draft202012Validator(schema).is_valid(data))
        assert acceptor(schema)(data) == told[-1], (kind, name, data)
    assert min(told.count(True), told.count(False)) > MANY / 10
    assert len({name for _, name, _ in cases}) > 10


@pytest.mark.parametrize("kind", CLASSES)
def test_it_knows_every_word_of_the_shipped_schemas(kind):
    accepts = acceptor(json.loads(schemas()[f"{kind}.schema.json"]))
    assert not accepts({"document": kind, "edition": True})


@pytest.mark.parametrize(
    "schema",
    [{"pattern": "a"}, {"type": "text"}, {"$ref": "#/other"}, {"const": []},
     {"properties": {"a": {"minItems": 1}}}],
)  # fmt: skip
def test_what_it_does_not_know_is_refused_not_passed_over(schema):
    with pytest.raises(ValueError, match=r"not known|nowhere|only words"):
        acceptor(schema)
