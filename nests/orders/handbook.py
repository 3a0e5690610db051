"""The handbook: a page for every part, family and check, from docstrings and real runs.

    python -m nests.orders.handbook [FOLDER]

writes Markdown with pictures into FOLDER, `gallery/handbook` if none is said. What stands on a page
is what the code says of itself: the words of its docstring, its fields with unit and limits, and
what the pieces of the gallery show of it.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from importlib import import_module
from pathlib import Path
from typing import Any

from nests import families
from nests.checks import SIDES, names
from nests.choosing import Choice
from nests.documents.files import data_folder
from nests.documents.schema import variants
from nests.finding import Finding, Grade, by_gravity
from nests.orders.gallery import PIECES, Piece, ordered
from nests.parts import by_tag
from nests.parts.base import Part

DASH = "–"


@dataclass(frozen=True)
class Shown:
    """A piece of the gallery as it was chosen and judged."""

    piece: Piece
    choice: Choice

    @property
    def name(self) -> str:
        """Name of its pack."""
        return self.piece.slug()

    def labels(self, tag: str) -> tuple[str, ...]:
        """Labels of its parts of one kind."""
        laid = self.choice.holder.laid
        mine = by_tag(each.part for each in laid).get(tag, ())
        return tuple(laid[number].label for number in mine)


@dataclass(frozen=True)
class Page:
    """A page: its name below the folder, its text, and the picture it asks for, if it has one of
    its own: of which piece, and which parts are lit in it."""

    name: str
    text: str
    picture: str = ""
    of: Shown | None = None
    lit: tuple[str, ...] = ()


def shown() -> tuple[Shown, ...]:
    """Every piece of the gallery, chosen and judged; some seconds."""
    out = []
    for piece in PIECES:
        made = ordered(piece)
        assert made.choice is not None
        out.append(Shown(piece, made.choice))
    return tuple(out)


def pages(pieces: Sequence[Shown]) -> Iterator[Page]:
    """Every page, the first page first."""
    parts = list(_parts(pieces))
    kinds = list(_families(pieces))
    judges = list(_checks(pieces))
    yield Page("README.md", _index(parts, kinds, judges))
    yield from (*parts, *kinds, *judges)


def write(folder: Path) -> int:
    """Write all pages and pictures; says how many pages."""
    from nests.documents.files import write_file
    from nests.papers.scenes import lit_picture

    count = 0
    for each in pages(shown()):
        for name in filter(None, (each.name, each.picture)):
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
        write_file(folder / each.name, each.text.encode())
        if each.of is not None:
            picture = lit_picture(each.of.choice.holder, each.lit)
            write_file(folder / each.picture, picture)
        count += 1
    return count


def _index(*groups: Sequence[Page]) -> str:
    lines = [
        "# Handbook",
        "",
        "What holders are made of, who writes them, and what judges them. Every page is built from "
        "the code by `python -m nests.orders.handbook`; every calibre on it is invented.",
    ]
    for title, group in zip(("Parts", "Families", "Checks"), groups, strict=True):
        lines += ["", f"## {title}", ""]
        for page in group:
            heading, _, first, *_ = page.text.split("\n")
            lines.append(f"- [{heading.removeprefix('# ')}]({page.name}): {first}")
    return "\n".join(lines) + "\n"


def _parts(pieces: Sequence[Shown]) -> Iterator[Page]:
    for tag, cls in variants(Part).items():
        found = next(((each, lit) for each in pieces if (lit := each.labels(tag))), None)
        slug = tag.replace(" ", "-")
        lines = [f"# {tag.capitalize()}", "", *_words(cls.__doc__)]
        if found is not None:
            lines += ["", f"![{tag}](../pictures/part-{slug}.png)", "",
                      f"Lit in `{found[0].name}` of the gallery."]  # fmt: skip
        lines += ["", *_table(cls)]
        yield Page(
            f"parts/{slug}.md",
            "\n".join(lines) + "\n",
            f"pictures/part-{slug}.png" if found else "",
            found[0] if found else None,
            found[1] if found else (),
        )


def _families(pieces: Sequence[Shown]) -> Iterator[Page]:
    for name in families.names():
        rule: Any = families.family(name)
        made = [each for each in pieces if each.piece.family == name]
        lines = [f"# {name.capitalize()}", "", *_words(rule.__doc__)]
        for each in made[:1]:
            lines += [
                "",
                f"![{each.name}](../../pictures/{each.name}.png)",
                "",
                f"`{each.name}`:",
                "",
            ]
            lines += [f"- {reason}" for reason in each.choice.recipe.reasons]
        lines += ["", *_table(rule.Wish)]
        yield Page(f"families/{name}.md", "\n".join(lines) + "\n")


def _checks(pieces: Sequence[Shown]) -> Iterator[Page]:
    for name in names():
        module = import_module(f"nests.checks.{_place(name)}")
        told = [(each, f) for each in pieces for f in each.choice.findings if f.check == name]
        slug = name.replace(" ", "-")
        lines = [f"# {name.capitalize()}", "", *_words(module.__doc__ or module.check.__doc__)]
        shown_at: tuple[Shown | None, tuple[str, ...]] = (None, ())
        if told:
            gravest = by_gravity(tuple(f for _, f in told))[0]
            piece = next(each for each, f in told if f is gravest)
            shown_at = piece, gravest.parts
            lines += ["", f"![{name}](../pictures/check-{slug}.png)", "", f"In `{piece.name}`:", "",
                      f"> {gravest.grade.value}: {gravest.says}"]  # fmt: skip
            lines += [f">\n> {line}" for line in _about(gravest)]
            grades = {g: sum(f.grade is g for _, f in told) for g in Grade}
            counted = ", ".join(f"{count} {g.value}" for g, count in grades.items() if count)
            lines += ["", f"In all pieces of the gallery: {counted}."]
        else:
            lines += ["", "It has nothing to say of the pieces of the gallery."]
        picture = f"pictures/check-{slug}.png" if told else ""
        yield Page(f"checks/{slug}.md", "\n".join(lines) + "\n", picture, *shown_at)


def _about(finding: Finding) -> Iterator[str]:
    if finding.limit is not None and finding.value is not None:
        yield f"found {finding.value:.4g}, limit {finding.limit:.4g} {finding.unit}".rstrip()
    if finding.origin:
        yield f"limit from: {finding.origin}"
    if finding.remedy:
        yield f"remedy: {finding.remedy}"


def _place(name: str) -> str:
    side = next((side for side in SIDES if name in names(side)), "")
    return f"{side}.{name}".replace(" ", "_").lstrip(".")


def _words(text: str | None) -> list[str]:
    return inspect.cleandoc(text or "").split("\n")


def _table(cls: type) -> list[str]:
    """The fields of a class with what they mean."""
    lines = ["| option | unit and range | usual | meaning |", "|---|---|---|---|"]
    for each in fields(cls):
        about = each.metadata["quantity"]
        usual = DASH if each.default in (None, "", ()) else each.default
        usual = DASH if not isinstance(usual, int | float | str) else usual
        span = about.span() if about.low is not None or about.high is not None else about.unit
        meaning = about.meaning.replace("|", "/")
        lines.append(f"| {each.name.replace('_', ' ')} | {span or DASH} | {usual} | {meaning} |")
    return lines


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else data_folder("gallery") / "handbook"
    print(f"{write(target)} pages in {target}")
