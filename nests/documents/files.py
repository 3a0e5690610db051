"""Reading documents so that a mistake costs one sentence, and writing so that nothing is lost."""

from __future__ import annotations

import difflib
import json
import math
import os
from collections.abc import Iterator, Mapping
from contextlib import suppress
from functools import cache
from hashlib import sha256
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nests.documents.accepting import Accepts, acceptor
from nests.documents.reading import read_bounded
from nests.units import BadInput

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError

LARGEST = 20_000_000
"""Bytes a JSON document may have; a sheet has some thousands."""
MOST_FAULTS = 1000
"""Faults of one document that are looked at, to tell the most telling; a file of some MB could
have millions."""
MOST_STRANGE = 20
"""Unknown fields of one object for each of which it is looked up what may have been meant."""


FRESH = r"nests-[0-9]+-[0-9a-f]{16}"
"""What a file is called behind a dot while it is written, as a pattern."""


def data_folder(name: str) -> Path:
    """Folder of shipped data (`schemas`, `gallery`): inside the package, or beside it in a
    checkout."""
    inside = Path(__file__).parent.parent / name
    return inside if inside.is_dir() else Path(__file__).parent.parent.parent / name


@cache
def schema(kind: str) -> dict[str, Any]:
    """The shipped JSON Schema of a kind of document."""
    path = data_folder("schemas") / f"{kind}.schema.json"
    loaded: dict[str, Any] = json.loads(path.read_text("utf-8"))
    return loaded


@cache
def _accepts(kind: str) -> Accepts:
    return acceptor(schema(kind))


def kinds() -> tuple[str, ...]:
    """The kinds of document there are."""
    found = data_folder("schemas").glob("*.schema.json")
    return tuple(sorted(path.name.removesuffix(".schema.json") for path in found))


def read_json(path: Path) -> dict[str, Any]:
    """The JSON object in a file. Raises `BadInput` with one sentence when there is none."""
    content = read_bounded(path, LARGEST)
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        raise BadInput(f"{path} is not UTF-8 text; a JSON document is needed.") from None
    try:
        data = json.loads(
            text,
            object_pairs_hook=_no_twins,
            parse_constant=_no_constant,
            parse_float=_finite,
            parse_int=_whole,
        )
    except json.JSONDecodeError as error:
        raise BadInput(
            f"{path} is not JSON: {error.msg} at line {error.lineno}, column {error.colno}."
        ) from None
    except RecursionError:
        raise BadInput(f"{path} is nested too deeply to be a document.") from None
    try:
        json.dumps(data, ensure_ascii=False).encode("utf-8")
    except UnicodeEncodeError:
        raise BadInput(f"{path} has half a character in a text; whole ones are needed.") from None
    except RecursionError:
        raise BadInput(f"{path} is nested too deeply to be a document.") from None
    if not isinstance(data, dict):
        raise BadInput(f"{path} holds a {type(data).__name__}; a JSON object is needed.")
    return data


def _no_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) < len(pairs):
        names = [key for key, _ in pairs]
        twin = next(key for key in names if names.count(key) > 1)
        raise BadInput(f"the field '{twin}' is given twice; once is allowed.")
    return out


def _no_constant(text: str) -> float:
    shown = text if len(text) < 30 else f"{text[:27]}... of {len(text)} digits"
    raise BadInput(f"the number {shown} stands in the document; a finite number is needed.")


def _finite(text: str) -> float:
    value = float(text)
    return value if math.isfinite(value) else _no_constant(text)


def _whole(text: str) -> int | float:
    # beyond a float, and further on beyond what Python turns into an integer at all
    return int(text) if len(text) <= 300 else _finite(text)


def kind_of(data: Mapping[str, Any], source: str) -> str:
    """The kind a document says it is. Raises `BadInput` if it says none or an unknown one."""
    kind = data.get("document")
    if kind not in kinds():
        listed = ", ".join(kinds())
        raise BadInput(f"{source}: the field 'document' is {kind!r}; allowed is one of {listed}.")
    return str(kind)


def validate(data: Mapping[str, Any], kind: str, source: str) -> None:
    """Raise `BadInput` with one sentence for each fault of a document, those of fields first."""
    said = data.get("document")
    if said != kind:
        one = f"{kind} are" if kind.endswith("s") else f"a {kind} is"
        raise BadInput(f"{source}: this is a document of kind {said!r}; {one} needed.")
    try:
        if _accepts(kind)(data):
            return
        from jsonschema import Draft202012Validator  # slow, and needed only to say what is wrong

        every = Draft202012Validator(schema(kind)).iter_errors(data)
        errors = list(islice(every, MOST_FAULTS))
    except RecursionError:
        raise BadInput(f"{source} is nested too deeply to be a {kind}.") from None
    if errors:
        errors.sort(key=lambda e: (len(e.absolute_path) == 0, [f"{s:>6}" for s in e.path]))
        raise BadInput(*(f"{source}: {says}" for each in errors for says in sentences(each)))


def _where(error: ValidationError) -> str:
    path = "".join(f"[{s}]" if isinstance(s, int) else f".{s}" for s in error.absolute_path)
    return path.lstrip(".") or "the document"


def sentences(error: ValidationError) -> Iterator[str]:
    """A schema error in words: which field, what it was, what is allowed, in its unit; one for each
    field that lacks or is not known."""
    about = error.schema if isinstance(error.schema, dict) else {}
    unit = f" {about['unit']}" if "unit" in about else ""
    where, was = _where(error), error.instance
    shown = repr(was) if len(repr(was)) < 60 else repr(was)[:57] + "..."
    match error.validator:
        case "minimum" | "maximum":
            low, high = about.get("minimum"), about.get("maximum")
            span = f"{low:g} to {high:g}" if None not in (low, high) else f"{error.validator_value}"
            yield f"{where} is {was:g}{unit}; allowed is {span}{unit}."
        case "enum" | "const":
            allowed = about["enum"] if error.validator == "enum" else [error.validator_value]
            yield f"{where} is {shown}; allowed is {' or '.join(map(str, allowed))}."
        case "required":
            for missing in (n for n in error.validator_value if n not in error.instance):
                inner = about.get("properties", {}).get(missing, {})
                tail = f" ({inner['description']})" if "description" in inner else ""
                yield f"{where} lacks the field '{missing}'{tail}."
        case "additionalProperties":
            known = list(about.get("properties", {}))
            extras = [name for name in error.instance if name not in known]
            for extra in extras[:MOST_STRANGE]:
                near = difflib.get_close_matches(extra[:60], known, 1)
                hint = f"did you mean '{near[0]}'?" if near else f"allowed are {', '.join(known)}."
                yield f"{where} has an unknown field '{extra}'; {hint}"
            for extra in extras[MOST_STRANGE:]:
                yield f"{where} has an unknown field '{extra}'."
        case "type":
            wanted = error.validator_value
            words = " or ".join(wanted) if isinstance(wanted, list) else wanted
            yield f"{where} is {shown}; a {words}{f' in{unit}' if unit else ''} is needed."
        case _:
            yield f"{where} is {shown}; {error.message}."


def canonical(data: Mapping[str, Any]) -> bytes:
    """The one way a document is written: same data, same bytes. Raises `BadInput` for a text that
    is none."""
    try:
        return (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode("utf-8")
    except UnicodeEncodeError as error:
        raise BadInput(
            f"{error.object[error.start : error.end]!a} is half a character in a text; whole "
            "ones are needed."
        ) from None


def reason(error: OSError) -> str:
    """Why the system refused, in its words."""
    return error.strerror or str(error)


def sync(path: Path) -> None:
    """Force a file or folder to the disk, where the system can."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def write_file(target: Path, content: bytes) -> None:
    """Write a file that appears at `target` all at once. Raises `BadInput`; a folder, a pipe or a
    device is never written over."""
    fresh = target.with_name(f".nests-{os.getpid()}-{sha256(os.fsencode(target)).hexdigest()[:16]}")
    try:
        if os.path.exists(target) and not os.path.isfile(target):
            raise BadInput(f"{target} is there, and is not a file; choose another name.")
        fresh.write_bytes(content)
        sync(fresh)
        fresh.replace(target)
    except OSError as error:
        raise BadInput(f"{target} cannot be written: {reason(error)}.") from None
    finally:
        with suppress(OSError):
            fresh.unlink()  # it is there only if it did not come to its place
