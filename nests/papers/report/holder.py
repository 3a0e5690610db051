"""The report of one holder."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from nests.finding import Finding, Grade, gathered
from nests.given.at_work import pressed_words
from nests.given.sheet import Sheet
from nests.holder.buying import to_buy
from nests.holder.compose import Holder
from nests.holder.recipe import CARRIES, MOULD, Recipe
from nests.letters.engraving import called
from nests.papers.report import cautions
from nests.papers.report.acceptance import CAST_FIRST, FILED, HEIGHTS, acceptance
from nests.papers.report.blocks import (
    Block,
    Document,
    Folded,
    Heading,
    Listing,
    Paragraph,
    Picture,
    Table,
)
from nests.papers.report.usual import taken_as_usual
from nests.papers.report.wording import counted, figure, remarks, sentence, spot
from nests.study import Study
from nests.units import printed

GROUPS: tuple[tuple[Grade, str], ...] = (
    (Grade.STOP, "Stop: do not print, do not use"),
    (Grade.MEND, "Mend: works, but should change"),
    (Grade.UNKNOWN, "Unknown: not assessed, and what to measure"),
    (Grade.CLEAR, "Clear: holds"),
)


def holder_report(
    holder: Holder,
    study: Study,
    findings: Sequence[Finding],
    pictures: Mapping[str, bytes],
    digest: str,
) -> Document:
    """The report of a holder.

    `pictures` are PNGs by what they show: the holder first, then what lies where in it, then what
    was found. `digest` identifies the recipe.
    """
    recipe, mould = holder.recipe, holder.recipe.kind == MOULD
    shown = [Picture(png, alt) for alt, png in pictures.items()]
    blocks: list[Block] = [
        Paragraph(_summary(findings)),
        Heading("What it is for"),
        Paragraph(_purpose(recipe)),
        Heading("What it is not for", 3),
        Listing(tuple(_not_for(recipe))),
        *shown[:1],
        *_reasons(recipe),
        *shown[1:2],
        Heading("What was found"),
        *_findings(recipe, findings),
        *shown[2:],
        *taken_as_usual(recipe.workpiece),
        Heading("Printing"),
        *_printing(holder, study),
        *_to_buy(recipe),
        Heading("Cautions"),
        Paragraph(cautions.FIRST),
        Listing(
            (
                *cautions.RESIN,
                *(cautions.CASTING if mould else ()),
                *cautions.bench(recipe.workpiece),
            )
        ),
        Heading("Acceptance"),
        Paragraph(f"{CAST_FIRST if mould else f'{cautions.UNPROVED} {HEIGHTS}'} {FILED}"),
        Table(
            "Gauge the print and write the readings down",
            ("What", "How and where", "Limits", "Name", "Reading"),
            acceptance(recipe),
            (0.20, 0.28, 0.18, 0.21, 0.13),
            blanks=(4,),
        ),
        Table(
            "Accepted",
            ("By", "Date", "Filed as"),
            (("", "", ""),),
            (0.4, 0.3, 0.3),
            blanks=(0, 1, 2),
        ),
    ]
    return Document(
        title=recipe.name,
        subtitle=sentence(
            f"{recipe.kind}, {recipe.side_up.value} side up, for: {recipe.operation.name}."
            f"{remarks(recipe.workpiece.remarks)}"
        ),
        name=f"{recipe.name} · recipe {digest}",
        blocks=tuple(blocks),
    )


def _summary(findings: Sequence[Finding]) -> str:
    count = {grade: sum(f.grade is grade for f in findings) for grade, _ in GROUPS}
    words = ", ".join(f"{g.mark} {n} {g.value}" for g, n in count.items() if n)
    if count[Grade.STOP]:
        verdict = "Do not print it and do not use it before every stop is gone."
    elif count[Grade.UNKNOWN]:
        verdict = "It may be printed; what is unknown below is not proved."
    else:
        verdict = "It may be printed."
    return f"Found: {words}. {verdict}"


def _purpose(recipe: Recipe) -> str:
    job, sheet = recipe.operation, recipe.workpiece
    if recipe.kind == MOULD:
        return f"A soft pad is cast in it, on which the {sheet.kind} {_quoted(sheet)} is laid."
    says = f" ({job.says})" if job.says else ""
    absent = " and ".join(filter(None, (", ".join(job.absent[:-1]), *job.absent[-1:])))
    pressed = ", ".join(pressed_words(sheet, job))
    reach = ["stem"] if job.stem and sheet.stem is not None else []
    reach += ["pushers"] if job.pushers and sheet.pushers else []
    parts = [
        f"It carries the {sheet.kind} {_quoted(sheet)} with the {recipe.side_up.value} side up, "
        f"for: {called(job)}{says}.",
        f"Not fitted at that moment: {absent}." if absent else "",
        f"Pressed: {pressed}." if pressed else "Nothing is pressed in it.",
        f"To be reached: {' and '.join(reach)}." if reach else "",
        "It may be turned over with the workpiece held." if job.turned_over else "",
    ]
    return " ".join(part for part in parts if part)


def _quoted(sheet: Sheet) -> str:
    """The name in quotes, and what is engraved where that is not the name."""
    return f"'{sheet.name}'{called(sheet).removeprefix(sheet.name)}"


def _not_for(recipe: Recipe) -> Iterable[str]:
    carried = CARRIES[recipe.kind]
    others = [kind for kind in dict.fromkeys(CARRIES.values()) if kind != carried]
    yield f"Any {' or '.join(others)}: kinds never mix."
    if recipe.kind == "movement holder":
        posts = [name for part in recipe.parts for name in part.serves().under]
        pressed = [a.name for a in recipe.workpiece.arbors if a.name in posts]
        own = _through_their_own_fit(recipe, pressed)
        yield from own
        yield (
            f"Pressing on any {'other ' if own else ''}arbor but {', '.join(pressed)}: no other "
            "jewel or bush has a post behind it."
            if pressed
            else "Pressing on an arbor: no jewel or bush has a post behind it."
        )
        yield (
            "Another calibre of the same diameter, before it was looked up: "
            "the support points differ."
        )
    if recipe.kind == MOULD:
        yield f"Laying the {carried} in it, or working on it: it shapes the pad and nothing else."
    elif not recipe.operation.turned_over:
        yield "Being turned over with the workpiece in it."


def _through_their_own_fit(recipe: Recipe, posts: Sequence[str]) -> list[str]:
    """Arbors that run through one with a post, whose own jewels nothing supports."""
    sheet, down = recipe.workpiece, recipe.side_up.other
    out = []
    for arbor in sheet.arbors:
        met, jewel = sheet.outermost(arbor.name, down), arbor.jewel(down)
        if met is not arbor and met.name in posts and jewel is not None:
            out.append(
                f"Pressing on '{arbor.name}' harder than is said here: the post stands under the "
                f"{jewel.word} of '{met.name}', on the same axis, and nothing but its own fit "
                f"holds that of '{arbor.name}'."
            )
    return out


def _reasons(recipe: Recipe) -> Iterable[Block]:
    if recipe.reasons:
        yield Heading("Why it is made this way")
        yield Listing(tuple(map(sentence, recipe.reasons)))


def _findings(recipe: Recipe, findings: Sequence[Finding]) -> Iterable[Block]:
    for grade, title in GROUPS:
        here = [f for f in findings if f.grade is grade]
        if not here:
            continue
        words = counted(len(here), "finding")
        yield Heading(f"{grade.mark} {title}", 3)
        table = Table(
            f"{words} of grade {grade.value}",
            ("Check", "What was found", "Measured, limit, origin"),
            tuple((f.check, _says(recipe, f), _figures(f)) for f in gathered(here)),
            (0.14, 0.54, 0.32),
        )
        if grade is not Grade.CLEAR:
            yield table
            continue
        often = Counter(f.check for f in here)
        names = ", ".join(f"{name} ({n})" if n > 1 else name for name, n in often.items())
        yield Paragraph(f"Checked and found to hold: {names}.")
        yield Folded(f"{words} in full".capitalize(), "What holds, in full", (table,))


def _says(recipe: Recipe, finding: Finding) -> str:
    at = ""
    if finding.place is not None:
        at = f" {sentence(spot(recipe.site(), finding.place))}, {printed(finding.place[2])} mm high"
        parts = [part for part in finding.parts if part.lower() not in finding.says.lower()]
        at += f" ({', '.join(parts)})." if parts else "."
    remedy = f" Remedy: {finding.remedy.rstrip('.')}." if finding.remedy else ""
    return f"{sentence(finding.says)}{at}{remedy}"


def _figures(finding: Finding) -> str:
    unit = f" {finding.unit}" if finding.unit else ""
    parts = []
    if finding.value is not None:
        parts.append(f"{figure(finding.value)}{unit}")
    if finding.limit is not None:
        parts.append(f"limit {figure(finding.limit)}{unit}")
    if finding.origin:
        parts.append(finding.origin)
    return "; ".join(parts) or "no figure"


def _printing(holder: Holder, study: Study) -> Iterable[Block]:
    card, layers = study.card, len(study.layers.heights)
    volume = (holder.solid.volume() + math.fsum(s.volume() for _, s in holder.beside)) / 1000.0
    minutes = layers * card.layer_time / 60.0
    cost = ("not known", "the printer card gives no price of the resin")
    if card.resin_price is not None:
        price = f"{volume / 1000.0 * card.resin_price:.2f} {card.currency} of resin"
        cost = (price, card.origin("resin_price"))
    bodies = ", ".join(name for name, _ in holder.beside) or "none"
    all_of = "the solids, loose bodies and all" if holder.beside else "the solid"
    rows = (
        ("printer and resin", card.name, "the printer card"),
        ("pose", holder.recipe.pose.words(), "the recipe; the files to print are in it"),
        *_heights(study),
        ("layer", f"{card.layer:g} mm", card.origin("layer")),
        ("layers", str(layers), "counted"),
        ("volume", f"{volume:.2f} ml", f"measured on {all_of}, without supports"),
        ("mass, cured", f"{volume * card.density:.1f} g", card.origin("density")),
        ("time", _hours(minutes), f"{card.layer_time:g} s a layer, {card.origin('layer_time')}"),
        ("cost", *cost),
        ("loose bodies", bodies, "printed beside the holder" if holder.beside else "the recipe"),
    )
    yield Table("Settings and what it takes", ("What", "Figure", "From"), rows, (0.24, 0.34, 0.42))


def _heights(study: Study) -> Iterable[tuple[str, str, str]]:
    """How high it is drawn, where that is not as high as it is to come out."""
    if study.stretch != 1.0:
        drawn = f"drawn {study.stretch:.4f} times as high in the files to print; all else on paper"
        says = f"{drawn} is as it comes out"
        yield "heights", says, study.card.origin("height_bias_slope")


def _to_buy(recipe: Recipe) -> Iterable[Block]:
    """What goes into it and is not printed."""
    rows = tuple((str(e.count), e.what, e.work or "-", e.place) for e in to_buy(recipe))
    if rows:
        yield Heading("To buy, cut and drill")
        head = ("Count", "What", "What is done", "For")
        yield Table("What goes into it and is not printed", head, rows, (0.08, 0.32, 0.34, 0.26))


def _hours(minutes: float) -> str:
    whole = math.ceil(minutes)
    return f"{whole // 60} h {whole % 60:02d} min" if whole >= 60 else f"{whole} min"
