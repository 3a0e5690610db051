"""What is to be said of the readings of a gauge plate: what stays as it was, and what does not fit.

What does not fit was counted with the rest.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import fields

from nests.gauge.bias import Bias, Field, bias
from nests.gauge.foot import Foot
from nests.gauge.limits import FIGURES, Limit
from nests.gauge.not_read import not_read
from nests.given.printer_card import PrinterCard
from nests.kinds.gauge_readings import GaugeReadings, GaugeRow, Sort
from nests.statistics.line import DOUBTFUL, mean_and_sd, t_quantile
from nests.units import Length, unsigned_zeros

OF_SORT: dict[Sort, Field] = {
    "bore": "inside_bias", "pin": "outside_bias", "step": "height_bias",
}  # fmt: skip
WORDS: dict[Field, str] = {
    "inside_bias": "bores", "outside_bias": "pins", "height_bias": "heights",
}  # fmt: skip
WITHIN = 2.0
"""Standard deviations behind the ± of the scatter: 95 % of what is printed, by the normal law."""
TRIED = ("foot_height", *(figure for figure, _ in FIGURES.values()))
"""Figures that lie between what came out and what did not."""
FAR: Length = 0.5
"""mm that a reading may lie off what was drawn; beyond it is named, as a slip would be; from
memory."""


def figures(card: PrinterCard) -> list[str]:
    """Each figure that was read, in words: value, ±, unit, readings, origin."""
    out = []
    for each in fields(card):
        value = getattr(card, each.name)
        if each.name not in card.readings or value is None:
            continue
        about = each.metadata["quantity"]
        doubt = card.uncertainties.get(each.name, 0.0)
        unit = f" {about.unit}" if about.unit else ""
        # what came out and what did not is no ±: the origin has both
        if each.name in TRIED or not doubt:
            size = f"{value:.5g}{unit}"
        else:
            places = max(1 - math.floor(math.log10(doubt)), 0)
            size = f"{value:.{places}f} ± {doubt:.{places}f}{unit}"
        out.append(
            f"{each.name}, {about.meaning}: {unsigned_zeros(size)}; {card.readings[each.name]} "
            f"readings; {card.origins[each.name]}"
        )
    return out


def notes(
    readings: GaugeReadings,
    card: PrinterCard,
    biases: Sequence[Bias],
    limits: Sequence[Limit],
    foot: Foot | None,
) -> tuple[str, ...]:
    """What stays as it was on the card and why, in sentences."""
    return (*_notes(readings, card, biases, limits), *_foot_notes(card, foot), *not_read())


def odd(
    readings: GaugeReadings,
    biases: Sequence[Bias],
    limits: Sequence[Limit],
    repeats: tuple[float, int] | None,
    foot: Foot | None,
) -> tuple[str, ...]:
    """What does not fit, in sentences. It was counted with the rest."""
    return (*_odd(readings, biases, limits, repeats), *_odd_foot(foot))


def _notes(
    readings: GaugeReadings, card: PrinterCard, biases: Sequence[Bias], limits: Sequence[Limit]
) -> Iterator[str]:
    if card.name == PrinterCard().name:
        yield (
            f"the card is called '{card.name}', as every card without a name of its own is: give "
            "it one, for holders in a drawer belong to the card of their name."
        )
    if readings.printer != card.name:
        yield f"the plate was drawn for '{readings.printer}'; the card is '{card.name}'."
    if abs(readings.layer - card.layer) > 1e-9:
        yield (
            f"the plate was printed in layers of {readings.layer:g} mm; the card has "
            f"{card.layer:g} mm."
        )
    measured = {each.field for each in biases}
    for sort, field in OF_SORT.items():
        if field not in measured:
            yield (
                f"{field} stays {getattr(card, field):+g} mm: fewer than three rows of two sizes "
                f"were read of each '{sort}'."
            )
    known = {each.figure for each in limits if each.value is not None}
    contradicted = {each.figure for each in limits if each.contradicts(card)}
    for sort, (figure, _) in FIGURES.items():
        if figure not in known and figure not in contradicted:
            why = "none came out" if any(e.figure == figure for e in limits) else "none was tried"
            yield f"{figure} stays {getattr(card, figure):g}: of each '{sort}' {why}."
    for each in limits:
        if each.only_a_bound(card):
            yield (
                f"{each.figure} stays {getattr(card, each.figure):g}: {each.value:g} came off "
                "well, which only shows that it is no less."
            )
        elif each.value is None and each.contradicts(card):
            yield (
                f"{each.figure} stays {getattr(card, each.figure):g}, but {each.beyond:g} did not "
                "come out: give what does by hand."
            )


def _foot_notes(card: PrinterCard, found: Foot | None) -> Iterator[str]:
    if found is None:
        yield f"foot_spread stays {card.foot_spread:g} mm: the foot was not read."
        yield f"foot_height stays {card.foot_height:g} mm: the foot was not read."
        return
    if found.axis:
        both = " and ".join(f"{1000 * out:.0f} µm in {axis}" for axis, out in found.by_axis)
        yield f"the foot spreads {both}, told apart at 1 %; the larger counts."
    if found.height is None:
        yield f"foot_height stays {card.foot_height:g} mm: {found.why}."


def _odd_foot(found: Foot | None) -> Iterator[str]:
    for row in () if found is None else found.odd:
        yield (f"{row.name} stands out less than a share that begins above it: read it again.")


def _odd(
    readings: GaugeReadings,
    biases: Sequence[Bias],
    limits: Sequence[Limit],
    repeats: tuple[float, int] | None,
) -> Iterator[str]:
    """What does not fit, in sentences. It was counted with the rest."""
    for row in readings.rows:
        for each in row.read:
            if abs(each - row.drawn) > FAR:
                yield (
                    f"{row.name} reads {each:g} mm, but {row.drawn:g} mm was drawn: a slip, or "
                    "another row?"
                )
    for made in biases:
        for row, off in made.odd():
            rest = bias(made.field, [each for each in made.rows if each is not row])
            without = "" if rest is None else (
                f" Without it the bias would be {1000 * rest.offset:+.0f} µm and "
                f"{1000 * rest.slope:+.2f} µm per mm, the scatter ± "
                f"{1000 * WITHIN * rest.spread:.0f} µm."
            )  # fmt: skip
            yield (
                f"{row.name} lies {1000 * off:+.0f} µm off the line of the {WORDS[made.field]}, "
                f"farther than the others make likely: read it again.{without}"
            )
    if repeats is not None:
        yield from _odd_repeats(readings.rows, repeats[1])
    for tried in limits:
        for row in tried.odd:
            yield (
                f"{row.name} is good, but {tried.beyond:g} is bad, which should be easier: look at "
                "both again."
            )


def _odd_repeats(rows: Sequence[GaugeRow], freedom: int) -> Iterator[str]:
    """Readings that do not go with the others of their row, as all other rows repeat."""
    several = [row for row in rows if len(row.read) > 2]
    squares = {row.name: mean_and_sd(row.read)[1] ** 2 * (len(row.read) - 1) for row in several}
    count = sum(len(row.read) for row in several)
    for row in several:
        left = freedom - (len(row.read) - 1)
        others = math.fsum(squares.values()) - squares[row.name]
        if left < 2 or others <= 0.0:
            continue
        sd = math.sqrt(others / left) * math.sqrt(1.0 - 1.0 / len(row.read))
        limit_of = t_quantile(1.0 - DOUBTFUL / 2 / count, left)
        far = max(row.read, key=lambda each: abs(each - row.mean))
        if abs(far - row.mean) > limit_of * sd:
            rest = ", ".join(f"{each:g}" for each in row.read)
            yield f"{row.name}: of its readings {rest} mm {far:g} does not go with the others."
