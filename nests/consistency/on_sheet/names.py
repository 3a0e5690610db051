"""Names on a sheet: each is one, and no two look alike."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._looked import Looked
from nests.consistency._names import alike, fault
from nests.finding import Finding

EVERY_HAND = "every hand"
RESERVED = ("lug ", "dial foot ")
"""How a relief names a lug or a foot by its number."""


def look(looked: Looked) -> Iterator[Finding]:
    """By field, and among all that an operation may name."""
    sheet = looked.sheet
    if why := fault(sheet.name):
        yield looked.stop(f"name {why}.", "rename it")
    groups = {
        "arbors": [each.name for each in sheet.arbors],
        "rests": [each.name for each in sheet.rests],
        "keep_clear": [each.name for each in sheet.keep_clear],
        "pushers": [each.name for each in sheet.pushers],
        "sub_assemblies": [each.name for each in sheet.sub_assemblies],
    }
    for field, names in groups.items():
        for index, name in enumerate(names):
            if why := fault(name):
                yield looked.stop(f"{field}[{index}].name {why}.", "rename it")
        for name in sorted({n for n in names if names.count(n) > 1}):
            yield looked.stop(f"{field} holds '{name}' twice; names are unique.", "rename one")
        for one, two, how in alike(names):
            yield looked.stop(f"{field} holds {one} and {two}, {how}.", "rename one")
    for index, arbor in enumerate(sheet.arbors):
        for number, hand in enumerate(arbor.carries):
            if why := fault(hand):
                yield looked.stop(f"arbors[{index}].carries[{number}] {why}.", "name the hand")
    yield from _across(looked, groups)
    yield from _reserved(looked, groups)


def _across(looked: Looked, groups: dict[str, list[str]]) -> Iterator[Finding]:
    """An operation names arbors, rests and keep-clears alike."""
    both = set(groups["arbors"]) & set(groups["rests"])
    for name in sorted(both):
        yield looked.stop(
            f"arbors and rests both hold '{name}', which names an arbor and a rest; names are "
            "unique.",
            "rename one",
        )
    fields = ("arbors", "rests", "keep_clear")
    for index, field in enumerate(fields):
        for other in fields[index + 1 :]:
            known = {*alike(groups[field]), *alike(groups[other])}
            for one, two, how in alike([*groups[field], *groups[other]]):
                if (one, two, how) not in known:
                    yield looked.stop(
                        f"{field} and {other} hold {one} and {two}, {how}.", "rename one"
                    )


def _reserved(looked: Looked, groups: dict[str, list[str]]) -> Iterator[Finding]:
    if alike([*groups["arbors"], EVERY_HAND]) or EVERY_HAND in groups["arbors"]:
        yield looked.stop(
            f"arbors holds a name like '{EVERY_HAND}', which an operation takes for all arbors "
            "that carry a hand; any other name is allowed.",
            "rename it",
        )
    for name in groups["keep_clear"]:
        word = next((w for w in RESERVED if name.startswith(w)), "")
        if word and name.removeprefix(word).isdigit():
            yield looked.stop(
                f"keep_clear holds '{name}', by which a relief means the {word.strip()} of that "
                "number; any other name is allowed.",
                "rename it",
            )
