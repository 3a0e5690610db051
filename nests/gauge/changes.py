"""What a new card changes: on a recipe, as it is drawn and drawn anew, and in a drawer.

The recipe keeps what is wanted; what is drawn follows from it and the card. A print that was drawn
by the old card is still that print: the new card only tells better what came of it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from nests.checks import judge, names
from nests.drawer.shelf import every_holder, require_drawer
from nests.finding import Finding, Grade, worst
from nests.given.printer_card import PrinterCard
from nests.holder.compose import Holder, compose
from nests.holder.gauging import to_gauge
from nests.holder.recipe import Recipe
from nests.kinds.kept import KeptHolder
from nests.mechanics.tolerance import Spread, probability_below
from nests.parts.feature import Feature
from nests.study import Study
from nests.study.fitted import Fitted
from nests.units import Length, printed

SEEN = (Grade.STOP, Grade.MEND, Grade.UNKNOWN)


@dataclass(frozen=True)
class Odds:
    """A size with what it is drawn at, what it should measure, and the odds that it comes out as
    asked: neither too tight nor too loose, or within its ± on paper."""

    drawn: Length
    measures: Length
    good: float

    def words(self) -> str:
        """The same in words."""
        return f"should measure {printed(self.measures, 3)} mm, good in {share(self.good)}"


def share(of: float) -> str:
    """A share of prints; none is so sure, or so hopeless, as figures of odds may look."""
    if of >= 0.9995:
        return "over 99.9 %"
    return "under 0.1 %" if of < 0.0005 else f"{100 * of:.1f} %"


@dataclass(frozen=True)
class SizeChange:
    """A seat or a height: what is wanted, how it stood by the old card, how that drawing stands by
    the new one, and how it does when drawn anew."""

    name: str
    wanted: Length
    before: Odds
    now: Odds
    anew: Odds

    def says(self) -> str:
        """One line for people."""
        drawn = printed(self.before.drawn, 3)
        anew = (
            "drawn anew it comes out the same, for heights come out in whole layers"
            if self.anew.measures == self.now.measures != self.before.measures
            and abs(self.anew.measures - self.wanted) > 5e-4
            else f"drawn anew, at {printed(self.anew.drawn, 3)}, it {self.anew.words()}"
        )
        return (
            f"{self.name}, wanted {printed(self.wanted, 3)} mm, is drawn at {drawn}: by the old "
            f"card it {self.before.words()}, by the new one it {self.now.words()}; {anew}."
        )


@dataclass(frozen=True)
class RecipeChange:
    """What a card changes on one recipe: its sizes, and findings that come, go or change grade, of
    the same drawing and drawn anew."""

    name: str
    was_measured: bool
    sizes: tuple[SizeChange, ...]
    now: tuple[str, ...]
    anew: tuple[str, ...]


def on_recipe(recipe: Recipe, card: PrinterCard) -> RecipeChange:
    """What a card changes on a recipe. Raises `BadInput` for one that cannot be composed."""
    old = compose(recipe)
    same = _by(old, card)
    new = compose(replace(recipe, printer=card))
    before, now, anew = (_judged(each) for each in (old, same, new))
    sizes = (*_seats(old, same, new), *_heights(recipe, card))
    measured = "inside_bias" in recipe.printer.uncertainties
    return RecipeChange(recipe.name, measured, sizes, changed(before, now), changed(before, anew))


def _by(holder: Holder, card: PrinterCard) -> Holder:
    """The same solid, told of by another card."""
    return replace(holder, recipe=replace(holder.recipe, printer=card))


def _judged(holder: Holder, only: Sequence[str] | None = None) -> tuple[Finding, ...]:
    return judge(Study.of(holder), only)


def _seats(old: Holder, same: Holder, new: Holder) -> list[SizeChange]:
    found = zip(*(Study.of(each).fitted for each in (old, same, new)), strict=True)
    return [
        SizeChange(
            f"seat ({a.label})", (a.bore.size or 0.0) + a.printed, *map(_fit_odds, (a, b, c))
        )
        for a, b, c in found
    ]


def _fit_odds(fitted: Fitted) -> Odds:
    """Of a bore that is not round the sizes are what it has more than the edge it takes."""
    good = max(0.0, 1.0 - fitted.law.interference - (fitted.law.loose or 0.0))
    across = fitted.bore.size or 0.0
    return Odds(across + fitted.drawn, across + fitted.printed, good)


def _heights(recipe: Recipe, card: PrinterCard) -> list[SizeChange]:
    """Ledges and printed tips, each within its ± on the list of the old card."""
    out = []
    for row in to_gauge(recipe):
        feature = row.feature
        if feature.sort not in ("level", "tip") or feature.by_hand:
            continue
        old = recipe.printer
        odds = (height_odds(feature, by, of) for by, of in ((old, old), (card, old), (card, card)))
        out.append(SizeChange(f"height ({feature.name})", feature.nominal, *odds))
    return out


def height_odds(feature: Feature, card: PrinterCard, drawn_by: PrinterCard) -> Odds:
    """What a height that was drawn by one card should measure by another, and how often it lies
    within its ± on paper: whole layers, the bias, what that is known to, and the scatter of each
    face."""
    datum = feature.datum
    if datum is None:
        off, faces = card.level_error(feature.nominal, drawn_by), 1
        known = card.doubt("height_bias", feature.nominal)
    else:
        high = datum - feature.nominal if feature.down else datum + feature.nominal
        off = card.level_error(high, drawn_by) - card.level_error(datum, drawn_by)
        off, faces = (-off if feature.down else off), 2
        known = card.height_doubt(high, datum)
    spread = [Spread(0.0, card.scatter)] * faces + [Spread(0.0, known)]
    middle = feature.nominal + off
    below = probability_below([feature.low, feature.high], spread, middle)
    drawn = drawn_by.upright(feature.nominal)
    return Odds(drawn, middle, max(0.0, float(below[1] - below[0])))


def changed(before: Sequence[Finding], now: Sequence[Finding]) -> tuple[str, ...]:
    """Findings other than clear that are there now and were not, or the reverse, by check, part and
    grade."""

    def of(found: Sequence[Finding]) -> dict[tuple[str, tuple[str, ...]], Finding]:
        out: dict[tuple[str, tuple[str, ...]], Finding] = {}
        for each in found:
            key = each.check, each.parts
            if each.grade in SEEN and (key not in out or _graver(each, out[key])):
                out[key] = each
        return out

    was, is_now = of(before), of(now)
    says = []
    for key, each in is_now.items():
        if key not in was or was[key].grade is not each.grade:
            grade = was[key].grade.value if key in was else "clear"
            says.append(f"{each.check}, {grade} before, {each.grade.value} now: {each.says}")
    for key, each in was.items():
        if key not in is_now:
            says.append(f"{each.check}, {each.grade.value} before, clear now; it was: {each.says}")
    return tuple(says)


def _graver(one: Finding, other: Finding) -> bool:
    return one.grade is not other.grade and worst((one, other)) is one.grade


@dataclass(frozen=True)
class HolderChange:
    """A holder of the drawer that is judged otherwise by the new card, and how."""

    id: str
    says: tuple[str, ...]


@dataclass(frozen=True)
class DrawerChange:
    """What a card changes in a drawer: holders of that printer that are judged otherwise, how many
    were looked at, how many are of other cards, and documents that cannot be used."""

    otherwise: tuple[HolderChange, ...]
    looked_at: int
    of_others: int
    unusable: tuple[str, ...]


def in_drawer(
    folder: Path, card: PrinterCard, progress: Callable[[str], object] = lambda _: None
) -> DrawerChange:
    """What a card changes in a drawer. Only holders printed by the card of the same name are of
    that printer. What was gauged on a print is known of it, whatever the card says. Raises
    `BadInput`."""
    require_drawer(folder)
    holders, unusable = every_holder(folder)
    used = [each for each in holders if each.now.state != "retired"]
    own = [each for each in used if each.recipe.printer.name == card.name]
    out = []
    for number, kept in enumerate(own, 1):
        progress(f"{kept.id}, {number} of {len(own)} ...")
        says = _otherwise(kept, card)
        if says:
            out.append(HolderChange(kept.id, says))
    return DrawerChange(tuple(out), len(own), len(used) - len(own), tuple(unusable))


def _otherwise(kept: KeptHolder, card: PrinterCard) -> tuple[str, ...]:
    known = kept.now.readings.gauged
    rows = to_gauge(kept.recipe)

    def all_gauged(sorts: Sequence[str]) -> bool:
        own = [row for row in rows if row.feature.sort in sorts]
        return bool(own) and all(row.known(known) for row in own)

    settled = {"fit"} if all_gauged(("bore",)) else set()
    settled |= {"load path", "post"} if all_gauged(("tip", "level")) else set()
    only = [name for name in names("bench") if name not in settled]
    old = compose(kept.recipe)
    return changed(_judged(old, only), _judged(_by(old, card), only))
