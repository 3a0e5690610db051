"""Two hundred mutilated documents through the command line: a sentence for each fault, code 2.

Each mutilation is a fixed change to a shipped document or to a recipe a family wrote, so the same
two hundred run every time.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from nests.documents.files import data_folder
from nests.faces.cli import main
from nests.families import family
from nests.given.operation import USUAL
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.kinds import document, read
from nests.units import MOST_FAULTS

Data = dict[str, Any]
LONGEST = 400
"""Characters a sentence to a person may have."""


@dataclass(frozen=True)
class Mutilation:
    """A document spoilt: its content, what the sentence must name, and the code it ends with."""

    title: str
    content: bytes
    names: tuple[str, ...] = ()
    code: int = 2


@cache
def _recipe(name: str, sheet: str) -> str:
    rule = family(name)
    work = read(data_folder("gallery") / "sheets" / f"{sheet}.json", Sheet)
    operation = USUAL.operations[0] if name == "hand-setting" else None
    return json.dumps(document(rule.recipe(work, operation, rule.Wish(), PrinterCard())))


def _shipped(folder: str, name: str) -> Data:
    path = data_folder("gallery") / folder / f"{name}.json"
    loaded: Data = json.loads(path.read_text("utf-8"))
    return loaded


def sources() -> dict[str, Data]:
    """The documents that are spoilt, by kind and name."""
    sheets = ("inv-26-a", "inv-17-t", "inv-30-c", "inv-case-38", "inv-tc-12", "inv-20-u")
    out = {f"sheet {each}": _shipped("sheets", each) for each in sheets}
    out["printer"] = _shipped("printers", "bench-printer")
    out["work-plan"] = _shipped("work_plans", "usual")
    made = (("round", "inv-26-a"), ("hand-setting", "inv-30-c"), ("cradle", "inv-tc-12"),
            ("shaped", "inv-17-t"), ("case", "inv-case-38"))  # fmt: skip
    for name, sheet in made:
        out[f"recipe {name}"] = json.loads(_recipe(name, sheet))
    return out


def _text(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False).encode()


def _changed(data: Data, change: Callable[[Data], object]) -> bytes:
    spoilt = copy.deepcopy(data)
    change(spoilt)
    return _text(spoilt)


def at(data: Any, *path: str | int) -> Any:
    """What stands under a path of keys and numbers."""
    for step in path:
        data = data[step]
    return data


def anywhere() -> Iterator[Mutilation]:
    """What can befall any document."""
    for name, data in sources().items():
        yield Mutilation(f"{name}: document is another kind", _text({**data, "document": "cloth"}),
                         ("document", "cloth", "sheet"))  # fmt: skip
        yield Mutilation(f"{name}: edition 2", _text({**data, "edition": 2}), ("edition", "2", "1"))
        yield Mutilation(f"{name}: an unknown field", _text({**data, "nmae": "x"}),
                         ("nmae", "name"))  # fmt: skip
        less = {key: value for key, value in data.items() if key != "name"}
        if name != "printer":  # a card's name has a default
            yield Mutilation(f"{name}: no name", _text(less), ("name",))
        yield Mutilation(f"{name}: name is a number", _text({**data, "name": 7}), ("name", "7"))
        yield Mutilation(f"{name}: name is null", _text({**data, "name": None}), ("name", "None"))
        whole = _text(data)
        yield Mutilation(f"{name}: cut in half", whole[: len(whole) // 2], ("not JSON", "line"))
        twice = whole.replace(b'"edition": 1', b'"edition": 1, "edition": 1')
        yield Mutilation(f"{name}: edition given twice", twice, ("edition", "twice"))
    lines = {
        "empty": b"",
        "blank": b" \n\t ",
        "binary": bytes(range(256)),
        "zeros": b"\0" * 64,
        "a list": b"[]",
        "a number": b"26",
        "null": b"null",
        "a word": b'"sheet"',
        "no document": b"{}",
        "a picture": b"\x89PNG\r\n\x1a\n" + b"\0" * 40,
        "two documents": b"{}{}",
        "UTF-16": '{"document": "sheet"}'.encode("utf-16"),
        "nested a hundred thousand deep": b'{"a":' * 100_000,
        "lists a thousand deep": b'{"document": "sheet", "arbors": '
        + b"[" * 1_000 + b"]" * 1_000 + b"}",
        "lists nine hundred deep": b'{"document": "sheet", "edition": 1, "name": '
        + b"[" * 900 + b"]" * 900 + b"}",
        "document is a list": b'{"document": ["sheet"]}',
        "document is an object": b'{"document": {"sheet": 1}}',
        "document is null": b'{"document": null}',
        "half a character": b'{"document": "sheet", "edition": 1, "name": "\\ud800"}',
        "half a character in a key": b'{"document": "sheet", "\\udfff": 1}',
    }  # fmt: skip
    for title, content in lines.items():
        yield Mutilation(title, content)


NUMBERS = ("NaN", "Infinity", "-Infinity", "1e999", "-1e999", "1" + "0" * 400, "9" * 5000, "1e30",
           "-1", '"26"', "null", "true", "[26]", "{}")  # fmt: skip
"""What may stand where a length should, as JSON text."""


def lengths() -> Iterator[Mutilation]:
    """A number spoilt, at several depths."""
    places: tuple[tuple[str, tuple[str | int, ...]], ...] = (
        ("sheet inv-26-a", ("rim",)),
        ("sheet inv-26-a", ("outline", "diameter")),
        ("sheet inv-26-a", ("arbors", 0, "jewels", 0, "diameter")),
        ("sheet inv-17-t", ("outline", "corners", 0, "at", "x")),
        ("recipe round", ("body", "wall")),
    )
    for name, path in places:
        for text in NUMBERS:
            if (text, path[-1]) == ("-1", "x"):
                continue  # a fine place
            spoilt = copy.deepcopy(sources()[name])
            at(spoilt, *path[:-1])[path[-1]] = "<here>"
            content = json.dumps(spoilt).replace('"<here>"', text).encode()
            names = (str(path[-1]),) if len(text) < 9 and text.lstrip("-").isdigit() else ()
            where = ".".join(map(str, path))
            yield Mutilation(f"{name}: {where} is {text[:9]}", content, names)
    pointed = {**sources()["sheet inv-26-a"], "uncertainties": {"/rim": "<here>"}}
    for text in ("1e999", "1" + "0" * 400, '"x"', "null"):
        yield Mutilation(f"an uncertainty is {text[:9]}",
                         json.dumps(pointed).replace('"<here>"', text).encode())  # fmt: skip


def shapes() -> Iterator[Mutilation]:
    """Variants, words and lists spoilt."""
    from_sheet: tuple[tuple[str, tuple[str | int, ...], Any, tuple[str, ...]], ...] = (
        ("sheet inv-26-a", ("outline", "shape"), "square", ("shape", "square", "round", "path")),
        ("sheet inv-26-a", ("outline",), {"diameter": 26.0}, ("outline", "shape")),
        ("sheet inv-26-a", ("outline",), [], ("outline",)),
        ("sheet inv-26-a", ("rests", 0, "zone", "shape"), "oval", ("oval", "disc")),
        ("sheet inv-26-a", ("rests", 0, "zone", "centre"), {"x": 1.0}, ("centre", "y")),
        ("sheet inv-26-a", ("rests", 0, "zone", "centre"), {"hour": 1.0}, ("centre", "radius")),
        ("sheet inv-26-a", ("rests", 0, "zone", "centre"), {"hour": 13.0, "radius": 1.0},
         ("hour", "13", "12")),
        ("sheet inv-26-a", ("rests", 0, "zone", "centre"), [1.0, 2.0], ("centre",)),
        ("sheet inv-26-a", ("rests", 0, "side"), "top", ("side", "top", "dial", "bridge")),
        ("sheet inv-26-a", ("kind",), "clock", ("kind", "clock", "movement")),
        ("sheet inv-26-a", ("arbors",), {"centre": {}}, ("arbors", "array")),
        ("sheet inv-26-a", ("arbors", 0), "centre", ("arbors",)),
        ("sheet inv-26-a", ("arbors", 0, "carries"), "hands", ("carries", "array")),
        ("sheet inv-26-a", ("arbors", 0, "jewels", 0, "hight"), 1.0, ("hight", "height")),
        ("sheet inv-26-a", ("stem", "hour"), 12.5, ("hour", "12.5", "12")),
        ("sheet inv-17-t", ("outline", "corners"), 4, ("corners", "4", "array")),
        ("sheet inv-17-t", ("outline", "corners", 0, "radius"), 0.0, ("radius", "0", "500")),
        ("work-plan", ("operations",), None, ("operations",)),
        ("work-plan", ("operations", 0, "side_up"), "left", ("side_up", "left", "dial")),
        ("work-plan", ("operations", 0, "stem"), "yes", ("stem", "yes", "boolean")),
        ("work-plan", ("operations", 0, "presses", 0, "force"), 1000.0, ("force", "1000", "300")),
        ("printer", ("overhang",), 85.0, ("overhang", "85", "80", "degree")),
        ("printer", ("layer",), 0.0, ("layer", "0", "mm")),
        ("printer", ("origins",), "memory", ("origins", "object")),
        ("printer", ("origins", "scatter"), 3, ("scatter", "3", "string")),
        ("recipe round", ("parts", 0, "part"), "ring seet", ("ring seet", "ring seat")),
        ("recipe round", ("parts", 0), {"play": 0.1}, ("part",)),
        ("recipe round", ("parts", 0, "pads"), 5, ("pads", "5", "3")),
        ("recipe round", ("parts", 0, "steps"), ["wide"], ("steps", "wide", "number")),
        ("recipe round", ("kind",), "hat", ("kind", "hat", "movement holder")),
        ("recipe round", ("body",), [], ("body",)),
        ("recipe round", ("workpiece",), None, ("workpiece",)),
        ("recipe round", ("workpiece", "rim"), 99.0, ("rim", "99", "15")),
        ("recipe round", ("chord_error",), 0.0, ("chord_error", "0", "mm")),
    )  # fmt: skip
    for name, path, value, names in from_sheet:
        spoilt = copy.deepcopy(sources()[name])
        at(spoilt, *path[:-1])[path[-1]] = value
        yield Mutilation(f"{name}: {'.'.join(map(str, path))} is {value}", _text(spoilt), names)


def required() -> Iterator[Mutilation]:
    """Fields that must be there left out, or misspelt."""
    for name, path in (
        ("sheet inv-26-a", ("outline",)),
        ("sheet inv-26-a", ("rim",)),
        ("sheet inv-26-a", ("arbors", 0, "at")),
        ("sheet inv-26-a", ("rests", 1, "zone")),
        ("sheet inv-26-a", ("keep_clear", 0, "to_height")),
        ("sheet inv-30-c", ("pushers", 0, "lever_radius")),
        ("sheet inv-case-38", ("lugs", 2, "reach")),
        ("work-plan", ("operations", 0, "name")),
        ("work-plan", ("operations", 1, "side_up")),
        ("recipe case", ("workpiece",)),
    ):
        spoilt = copy.deepcopy(sources()[name])
        value = at(spoilt, *path[:-1]).pop(path[-1])
        field = str(path[-1])
        yield Mutilation(f"{name}: {field} left out", _text(spoilt), (field,))
        at(spoilt, *path[:-1])[field[1:] + field[0]] = value
        yield Mutilation(f"{name}: {field} misspelt", _text(spoilt), (field,))


def dangling() -> Iterator[Mutilation]:
    """Names that point nowhere, valid to the schema, found when the holder is made."""

    def part(kind: str) -> Callable[[Data], Data]:
        return lambda data: next(each for each in data["parts"] if each["part"] == kind)

    post, relief = part("stake post"), part("relief")
    hand, case = sources()["recipe hand-setting"], sources()["recipe case"]
    slot = {"part": "pusher slot", "pusher": "no such pusher"}
    yield Mutilation("post under nothing",
                     _changed(hand, lambda d: post(d).update(under="no such arbor")),
                     ("no such arbor",))  # fmt: skip
    yield Mutilation("relief of a lug that is not there",
                     _changed(case, lambda d: relief(d).update(of="lug 9")),
                     ("lug 9",))  # fmt: skip
    yield Mutilation(
        "relief of nothing", _changed(case, lambda d: relief(d).update(of="no such")), ("no such",)
    )
    for kind in ("pusher slot", "plunger", "spring lever"):
        yield Mutilation(f"{kind} at no pusher",
                         _changed(hand, lambda d, k=kind: d["parts"].append({**slot, "part": k})),
                         ("no such pusher",))  # fmt: skip
    yield Mutilation("stem slot without a stem",
                     _changed(hand, lambda d: d["workpiece"].pop("stem")), ("stem",))  # fmt: skip


def contradictory() -> Iterator[Mutilation]:
    """Valid to the schema, but against itself: a stop, which for a sheet ends with 1."""
    tonneau = sources()["sheet inv-17-t"]
    corners = tonneau["outline"]["corners"]

    def drawn(change: Callable[[Data], object]) -> bytes:
        return _changed(tonneau, lambda d: [change(each["at"]) for each in d["outline"]["corners"]])

    yield Mutilation("outline beside the axis", drawn(lambda at: at.update(x=at["x"] + 20.0)),
                     ("outline.corners", "axis"), 1)  # fmt: skip
    yield Mutilation("outline that crosses itself", _changed(
        tonneau, lambda d: d["outline"].update(corners=[corners[k] for k in (0, 4, 2, 6)])),
        ("outline.corners",), 1)  # fmt: skip
    for name in ("sheet inv-26-a", "recipe round"):
        data, code = sources()[name], 1 if name.startswith("sheet") else 2

        def spoil(change: Callable[[Data], object], data: Data = data) -> bytes:
            return _changed(data, lambda d: change(d.get("workpiece", d)))

        yield Mutilation(f"{name}: an arbor outside",
                         spoil(lambda d: d["arbors"][0].update(at={"x": 0.0, "y": 40.0})),
                         ("centre",), code)  # fmt: skip
        yield Mutilation(f"{name}: one name twice",
                         spoil(lambda d: d["rests"].append(d["rests"][0])),
                         (sources()["sheet inv-26-a"]["rests"][0]["name"],), code)  # fmt: skip
        yield Mutilation(f"{name}: ledge within the rim",
                         spoil(lambda d: d["casing_ledge"].update(diameter=20.0)),
                         ("casing_ledge", "20"), code)  # fmt: skip
        yield Mutilation(f"{name}: line breaks in a name",
                         spoil(lambda d: d["arbors"][0].update(name="a\nb\x1b[2J",
                                                               at={"x": 0.0, "y": 40.0})),
                         ("name is", "line break", "U+000A"))  # fmt: skip
        yield Mutilation(f"{name}: pointer to nowhere",
                         spoil(lambda d: d.update(uncertainties={"/no/such": 0.1})),
                         ("/no/such",), code)  # fmt: skip


def everything() -> list[Mutilation]:
    """All of them, each title once."""
    out = [*anywhere(), *lengths(), *shapes(), *required(), *dangling(), *contradictory()]
    assert len({each.title for each in out}) == len(out)
    return out


ALL = everything()


def test_there_are_two_hundred() -> None:
    assert len(ALL) >= 200
    assert len({each.content for each in ALL}) == len(ALL)


def _run(arguments: list[str]) -> int:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert isinstance(left.value.code, int)
    return left.value.code


def _a_sentence_each(text: str, names: tuple[str, ...]) -> None:
    """One line for each fault, none of them twice."""
    lines = text.splitlines()
    assert 1 <= len(lines) == len(set(lines)) <= MOST_FAULTS + 1, text
    for line in lines:
        assert line.startswith("nests: "), text
        assert line.endswith((".", "?")), text
        assert len(line) < LONGEST, text
    assert "Traceback" not in text
    for each in names:
        assert each in text, (each, text)


@pytest.mark.parametrize("each", ALL, ids=lambda each: each.title)
def test_mutilated(each: Mutilation, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`check` says what is wrong, and `make` with the same file writes nothing."""
    path, out = tmp_path / "spoilt.json", tmp_path / "out"
    path.write_bytes(each.content)
    code = _run(["check", str(path)])
    said = capsys.readouterr()
    assert code == each.code, said
    if code == 2:
        assert said.out == ""
        _a_sentence_each(said.err, each.names)
    else:
        stops = [line for line in said.out.splitlines() if line.startswith("# stop: ")]
        assert said.err == ""
        assert stops
        assert all(name in "".join(stops) for name in each.names)
    use = {
        "recipe": ["make", "--recipe", str(path)],
        "work": ["make", "hand-setting", "--work", str(path), "--operation", "hand-setting",
                 "--sheet", str(data_folder("gallery") / "sheets" / "inv-26-a.json")],
        "printer": ["make", "round", "--diameter", "26", "--height", "4", "--printer", str(path)],
        "sheet": ["make", "round", "--sheet", str(path)],
    }  # fmt: skip
    if each.title.startswith("outline"):
        use["sheet"] = ["make", "shaped", "--sheet", str(path)]
    kind = each.title.split(" ")[0].split("-")[0].rstrip(":")
    arguments = use.get(kind, use["sheet"])
    if each.title in {item.title for item in dangling()}:
        arguments = use["recipe"]
    assert _run([*arguments, "--out", str(out), "--no-papers"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    _a_sentence_each(said.err, ())
    assert [item.name for item in tmp_path.iterdir()] == ["spoilt.json"]
