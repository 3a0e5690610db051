"""The schemas and the classes agree, field by field, and documents survive the way there and back.

The walk below is written against `dataclasses` and `typing` alone and uses nothing of
`nests.documents.schema` to say what a schema should hold.
"""

import dataclasses
import enum
import json
import math
import types
from collections.abc import Mapping
from typing import Literal, Union, get_args, get_origin, get_type_hints

import pytest
from jsonschema import Draft202012Validator

from nests.documents.files import canonical, data_folder, kinds, read_json, validate
from nests.documents.schema import plain, record
from nests.given.sheet import Sheet
from nests.given.zones import Corner, Outline, Round, Zone
from nests.kinds import CLASSES, document, read_any, schemas
from nests.parts.base import Part
from nests.places import Place, Side
from nests.units import BadInput, Record
from tests.ordering import preferred as order
from tests.pieces import every

FOLDER = data_folder("schemas")
GALLERY = sorted(data_folder("gallery").glob("*/*.json"))
GALLERY = [path for path in GALLERY if path.parent.name in ("sheets", "printers", "work_plans")]


def loaded(kind):
    return json.loads((FOLDER / f"{kind}.schema.json").read_text("utf-8"))


# --- the files ------------------------------------------------------------------------------


def test_there_is_one_schema_for_each_kind_and_no_other():
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(schemas())
    assert set(kinds()) == set(CLASSES)


@pytest.mark.parametrize("kind", CLASSES)
def test_committed_schema_is_the_one_of_the_classes(kind):
    """If not: `python -m nests.kinds` writes it anew."""
    name = f"{kind}.schema.json"
    assert (FOLDER / name).read_bytes() == schemas()[name]


@pytest.mark.parametrize("kind", CLASSES)
def test_schema_is_valid_under_the_2020_12_metaschema(kind):
    schema = loaded(kind)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("kind", CLASSES)
def test_every_reference_leads_somewhere_and_every_definition_is_used(kind):
    schema = loaded(kind)
    used = set()

    def look(node):
        if isinstance(node, dict):
            if "$ref" in node:
                used.add(node["$ref"].removeprefix("#/$defs/"))
            for inner in node.values():
                look(inner)
        elif isinstance(node, list):
            for inner in node:
                look(inner)

    look(schema)
    assert used == set(schema["$defs"])


# --- the walk -------------------------------------------------------------------------------


def descendants(cls):
    for each in cls.__subclasses__():
        yield each
        yield from descendants(each)


def own(cls, name):
    return cls.__dict__.get(name)


class Walk:
    """Compares a class and all it refers to with a schema, and remembers what it saw."""

    def __init__(self, schema):
        self.schema = schema
        self.definitions = schema["$defs"]
        self.seen = set()
        self.count = 0

    def record(self, cls, node, extra=()):
        self.seen.add(cls)
        names = [each.name for each in dataclasses.fields(cls)]
        tag, key = cls.tag, getattr(cls, "tag_key", None)
        tags = [key] if tag else []
        assert list(node["properties"]) == [*extra, *tags, *names], cls
        if tag:
            assert node["properties"][key] == {"const": tag}
        required = [
            each.name
            for each in dataclasses.fields(cls)
            if each.default is dataclasses.MISSING and each.default_factory is dataclasses.MISSING
        ]
        assert node.get("required", []) == [*extra, *tags, *required], cls
        assert node["additionalProperties"] is False
        assert node["type"] == "object"
        assert node["description"]
        of = get_type_hints(cls)
        for each in dataclasses.fields(cls):
            self.field(cls, each, of[each.name], node["properties"][each.name])

    def field(self, cls, each, hint, node):
        where = f"{cls.__name__}.{each.name}"
        about = each.metadata["quantity"]  # every field says what it means
        said = {
            "description": about.meaning,
            "unit": about.unit or None,
            "minimum": about.low,
            "maximum": about.high,
            "origin": about.origin or None,
        }
        assert {name: node.get(name) for name in said} == said, where
        assert about.meaning, where
        if about.unit:
            assert about.low is not None, where
            assert about.high is not None, where
        self.default(where, each, node)
        self.type(where, hint, node)
        self.count += 1

    def default(self, where, each, node):
        if each.default is not dataclasses.MISSING:
            value = each.default
        elif each.default_factory is not dataclasses.MISSING:
            value = each.default_factory()
        else:
            assert "default" not in node, where
            return
        assert "default" in node, where
        written = node["default"]
        if isinstance(value, Place):
            assert written == {"x": value.x, "y": value.y, "read_from": "dial"}, where
        elif isinstance(value, Record):
            # written by its differences from the defaults of its class
            kept = {k: v for k, v in written.items() if k != getattr(value, "tag_key", None)}
            assert record(type(value), kept) == value, where
        elif isinstance(value, enum.Enum):
            assert written == value.value, where
        elif isinstance(value, tuple):
            assert written == list(value), where
        else:
            assert written == value, where
            assert isinstance(written, bool) == isinstance(value, bool), where

    def type(self, where, hint, node):
        origin, args = get_origin(hint), get_args(hint)
        if origin in (Union, types.UnionType):
            assert types.NoneType in args, where
            (inner,) = (arg for arg in args if arg is not types.NoneType)
            assert self.accepts(node, None), where
            if "then" in node:
                assert node["if"] == {"not": {"type": "null"}}, where
                self.type(where, inner, node["then"])
            elif "enum" in node:
                self.type(where, inner, {"enum": [v for v in node["enum"] if v is not None]})
            else:
                one, null = node["type"]
                assert null == "null", where
                self.type(where, inner, {**node, "type": one})
            return
        assert not self.accepts(node, None), where
        if origin is Literal:
            assert node["enum"] == list(args), where
        elif origin is tuple:
            assert args[1] is ..., where
            assert node["type"] == "array", where
            self.type(where, args[0], node["items"])
        elif origin is not None:
            assert issubclass(origin, Mapping), where
            assert args[0] is str, where
            assert node["type"] == "object", where
            self.type(where, args[1], node["additionalProperties"])
        elif hint in (float, int, str, bool):
            names = {float: "number", int: "integer", str: "string", bool: "boolean"}
            assert node["type"] == names[hint], where
        elif issubclass(hint, enum.Enum):
            assert node["enum"] == [member.value for member in hint], where
        else:
            name = node["$ref"].removeprefix("#/$defs/")
            assert name == hint.__name__, where
            self.definition(hint)

    def definition(self, cls):
        if cls in self.seen:
            return
        node = self.definitions[cls.__name__]
        if cls is Place:
            self.seen.add(cls)
            self.place(node)
        elif own(cls, "tag_key"):
            self.seen.add(cls)
            tagged = {each.tag: each for each in descendants(cls) if own(each, "tag")}
            choices = node["properties"][cls.tag_key]["enum"]
            assert set(choices) == set(tagged), cls
            assert len(choices) == len(tagged), cls
            assert node["required"] == [cls.tag_key]
            assert [
                (arm["if"]["properties"][cls.tag_key]["const"], arm["then"]["$ref"])
                for arm in node["allOf"]
            ] == [(tag, f"#/$defs/{tagged[tag].__name__}") for tag in choices]
            for each in tagged.values():
                self.definition(each)
        else:
            self.record(cls, node)

    def place(self, node):
        by_hour, by_xy = node["then"], node["else"]
        assert set(by_hour["properties"]) == set(by_hour["required"]) == {"hour", "radius"}
        assert set(by_xy["properties"]) == {"x", "y", "read_from"}
        assert by_xy["required"] == ["x", "y"]
        read_from = by_xy["properties"]["read_from"]
        assert read_from == {"enum": ["dial", "bridge"], "default": "dial"}
        units = {k: v["unit"] for arm in (by_hour, by_xy) for k, v in arm["properties"].items()
                 if k != "read_from"}  # fmt: skip
        assert units == {"hour": "h", "radius": "mm", "x": "mm", "y": "mm"}

    def accepts(self, node, value):
        return Draft202012Validator({**node, "$defs": self.definitions}).is_valid(value)


@pytest.mark.parametrize("kind", CLASSES)
def test_schema_and_classes_agree_field_by_field(kind):
    schema = loaded(kind)
    assert schema["title"] == kind
    assert schema["properties"]["document"] == {"const": kind}
    assert schema["properties"]["edition"] == {"const": 1}
    walk = Walk(schema)
    walk.record(CLASSES[kind], schema, extra=("document", "edition"))
    if kind == "sheet":
        # a sheet holds sheets: those inside carry no `document`
        walk.record(Sheet, schema["$defs"]["Sheet"])
    places = {"SaysSide"} if Place in walk.seen else set()
    assert {cls.__name__ for cls in walk.seen} - {CLASSES[kind].__name__} | places == set(
        schema["$defs"]
    ) - {CLASSES[kind].__name__}
    assert walk.count >= len(dataclasses.fields(CLASSES[kind]))


def test_walk_meets_every_part_zone_and_outline():
    walk = Walk(loaded("recipe"))
    walk.record(CLASSES["recipe"], walk.schema, extra=("document", "edition"))
    tagged = {each for base in (Part, Zone, Outline) for each in descendants(base)
              if own(each, "tag")}  # fmt: skip
    assert len(tagged) > 15
    assert tagged <= walk.seen


@pytest.mark.parametrize(
    "spoil",
    [
        lambda s: s["properties"]["rim"].update(minimum=0.1),
        lambda s: s["properties"]["rim"].update(unit="um"),
        lambda s: s["properties"]["dial_height"].update(default=1.0),
        lambda s: s["properties"]["uncertainty"].pop("maximum"),
        lambda s: s["required"].remove("rim"),
        lambda s: s["properties"].pop("stem"),
        lambda s: s["$defs"]["Jewel"]["properties"]["height"].update(maximum=9.0),
        lambda s: s["$defs"]["Zone"]["properties"]["shape"]["enum"].pop(),
        lambda s: s["$defs"]["Corner"]["properties"]["radius"].update(type="number"),
    ],
)
def test_walk_finds_a_drift(spoil):
    schema = loaded("sheet")
    spoil(schema)
    with pytest.raises(AssertionError):
        Walk(schema).record(Sheet, schema, extra=("document", "edition"))


def limited():
    """Every number with a limit of every class: (kind, class, field)."""
    for kind in CLASSES:
        walk = Walk(loaded(kind))
        walk.record(CLASSES[kind], walk.schema, extra=("document", "edition"))
        for cls in sorted(walk.seen, key=lambda each: each.__name__):
            if cls is Place:
                continue
            for each in dataclasses.fields(cls):
                if each.metadata["quantity"].low is not None:
                    node = walk.definitions.get(cls.__name__, walk.schema)
                    yield cls, each, node["properties"][each.name]


def test_schema_and_class_refuse_the_same_numbers():
    """At a limit both accept, one float beyond it both refuse."""
    met = 0
    for cls, each, node in limited():
        about = each.metadata["quantity"]
        validator = Draft202012Validator(node)
        for value, inside in (
            (about.low, True),
            (about.high, True),
            (math.nextafter(about.low, -math.inf), False),
            (math.nextafter(about.high, math.inf), False),
        ):
            assert validator.is_valid(value) == inside, (cls, each.name, value)
            if inside:
                about.check(each.name, value)
            else:
                with pytest.raises(BadInput):
                    about.check(each.name, value)
            met += 1
    assert met > 400


# --- documents ------------------------------------------------------------------------------


@pytest.mark.parametrize("path", GALLERY, ids=lambda path: path.stem)
def test_gallery_document_survives_there_and_back(path):
    value = read_any(path)
    once = document(value)
    validate(once, once["document"], path.name)
    again = record(type(value), json.loads(canonical(once)))
    assert again == value
    assert canonical(document(again)) == canonical(once)
    assert plain(again) == plain(value)


@pytest.mark.parametrize("path", GALLERY, ids=lambda path: path.stem)
def test_gallery_document_validates(path):
    data = read_json(path)
    errors = list(Draft202012Validator(loaded(data["document"])).iter_errors(data))
    assert errors == []


def test_gallery_has_sheets_printers_and_work_plans():
    assert {path.parent.name for path in GALLERY} == {"sheets", "printers", "work_plans"}
    assert sum(path.parent.name == "sheets" for path in GALLERY) >= 6


@pytest.mark.parametrize("piece", every())
def test_gallery_recipe_survives_there_and_back(piece):
    root = data_folder("gallery")
    recipe = order(
        piece.family,
        piece.options,
        sheet=root / "sheets" / f"{piece.sheet}.json" if piece.sheet else None,
        operation=piece.operation,
        printer=root / "printers" / "bench-printer.json",
    ).recipe
    once = document(recipe)
    validate(once, "recipe", "recipe")
    again = record(type(recipe), json.loads(canonical(once)))
    assert again == recipe
    assert canonical(document(again)) == canonical(once)


@pytest.mark.parametrize(
    ("data", "place"),
    [
        ({"x": 3, "y": 4}, Place(3.0, 4.0)),
        ({"x": 3, "y": 4, "read_from": "bridge"}, Place(-3.0, 4.0)),
        ({"hour": 3, "radius": 5}, Place(5.0, 0.0)),
        ({"hour": 6, "radius": 5}, Place(0.0, -5.0)),
    ],
)
def test_place_in_a_document(data, place):
    read = record(Corner, {"at": data}).at
    assert (read.x, read.y) == pytest.approx((place.x, place.y), abs=1e-12)


@pytest.mark.parametrize(
    "data",
    [
        {"x": 3},
        {"hour": 3},
        {"hour": 3, "radius": 4, "x": 1},
        {"hour": 3, "radius": 4, "read_from": "dial"},
        {"x": 3, "y": 4, "read_from": "back"},
        {"hour": 13, "radius": 4},
        {},
    ],
)
def test_place_that_is_neither_or_both_is_refused(data):
    schema = loaded("sheet")
    place = {**schema["$defs"]["Place"], "$defs": schema["$defs"]}
    assert not Draft202012Validator(place).is_valid(data)


def test_defaults_stay_out_of_a_document_and_null_means_none():
    sheet = Sheet(name="A", outline=Round(diameter=26.0), rim=1.5)
    assert plain(sheet) == {
        "name": "A",
        "outline": {"shape": "round", "diameter": 26.0},
        "rim": 1.5,
        "uncertainties": {},
    }
    data = {**document(sheet), "stem": None, "mass": None}
    validate(data, "sheet", "A")
    assert record(Sheet, data) == sheet
    assert Side("dial") is Side.DIAL
