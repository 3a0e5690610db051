"""A printer card from the readings of its gauge plate: every figure with its uncertainty, how many
readings it was taken from, and where it comes from. Nothing that was read is left out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from nests.consistency import require_card
from nests.gauge.bias import Bias, Field, bias
from nests.gauge.limits import FIGURES, Limit, limit
from nests.given.printer_card import PrinterCard
from nests.kinds.gauge_readings import GaugeReadings, GaugeRow, Sort
from nests.statistics.line import DOUBTFUL, coverage_factor, mean_and_sd, t_quantile
from nests.units import BadInput, Length

OF_SORT: dict[Sort, Field] = {
    "bore": "inside_bias", "pin": "outside_bias", "step": "height_bias",
}  # fmt: skip
WORDS: dict[Field, str] = {
    "inside_bias": "bores", "outside_bias": "pins", "height_bias": "heights",
}  # fmt: skip
WITHIN = 2.0
"""Standard deviations behind the ± of the scatter: 95 % of what is printed, by the normal law."""
FAR: Length = 0.5
"""mm that a reading may lie off what was drawn; beyond it is named, as a slip would be; from
memory."""
DIGITS = 6


@dataclass(frozen=True)
class CardFit:
    """The new card and what it was taken from. `repeats` is the standard deviation of one reading
    of one row, None where no row was read twice."""

    card: PrinterCard
    readings: GaugeReadings
    biases: tuple[Bias, ...]
    limits: tuple[Limit, ...]
    repeats: Length | None
    notes: tuple[str, ...]
    odd: tuple[str, ...]

    def bias(self, field: Field) -> Bias | None:
        """The bias of a field of the card, where it was measured."""
        return next((each for each in self.biases if each.field == field), None)


def fit(readings: GaugeReadings, card: PrinterCard) -> CardFit:
    """A card from readings, `card` in all that was not read. Raises `BadInput` where nothing that
    can be used was read, and where what comes of it cannot be true."""
    if all(row.open for row in readings.rows):
        raise BadInput("nothing was read: no row has a reading, or good or bad.")
    known = [bias(field, _rows(readings, sort)) for sort, field in OF_SORT.items()]
    biases = tuple(each for each in known if each is not None)
    limits = tuple(each for sort in FIGURES if (each := limit(sort, readings.rows)) is not None)
    repeats = _repeats(readings.rows)
    figures = _Figures(readings)
    for made_bias in biases:
        figures.take_bias(made_bias)
    for tried in limits:
        figures.take_limit(tried)
    figures.take_scatter(biases)
    figures.take_foot(readings, repeats, biases)
    if not figures.values:
        raise BadInput(
            "what was read tells nothing: a bias needs three rows of two sizes or more, a limit "
            "one row that is good."
        )
    try:
        made = figures.on(card)
        require_card(made)
    except BadInput as bad:
        raise BadInput(
            "the card that comes of these readings cannot be true.", *bad.faults
        ) from None
    notes = tuple(_notes(readings, card, biases, limits))
    return CardFit(made, readings, biases, limits, _sd(repeats), notes, tuple(_odd(
        readings, biases, limits, repeats
    )))  # fmt: skip


class _Figures:
    """Figures of the new card, gathered."""

    def __init__(self, readings: GaugeReadings) -> None:
        self.values: dict[str, float] = {}
        self.uncertainties: dict[str, float] = {}
        self.counts: dict[str, int] = {}
        self.correlations: dict[str, float] = {}
        self.origins: dict[str, str] = {}
        day = f" of {readings.date}" if readings.date else ""
        self._plate = f"gauge plate{day}"

    def _keep(self, name: str, value: float, doubt: float | None, count: int, how: str) -> None:
        self.values[name] = round(value, DIGITS)
        if doubt is not None:
            self.uncertainties[name] = round(doubt, DIGITS)
        self.counts[name] = count
        self.origins[name] = f"{self._plate}, {how}"

    def take_bias(self, each: Bias) -> None:
        """Offset and slope, and what x has more than y where they are told apart."""
        how = f"straight line through {len(each.rows)} rows"
        self._keep(each.field, each.offset, each.offset_doubt, each.readings, how)
        self._keep(f"{each.field}_slope", each.slope, each.slope_doubt, each.readings, how)
        self.correlations[each.field] = round(each.correlation, DIGITS)
        if each.field == "height_bias":
            return
        side = each.field.removesuffix("_bias")
        told = f"x and y told apart (by chance: {each.chance:.2g})" if each.apart else how
        # twice as uncertain as their mean: both lines are known equally well but for the rows
        apart_doubt = (2 * each.offset_doubt, 2 * each.slope_doubt) if each.apart else (None, None)
        self._keep(f"{side}_bias_apart", each.offset_apart, apart_doubt[0], each.readings, told)
        self._keep(f"{side}_slope_apart", each.slope_apart, apart_doubt[1], each.readings, told)

    def take_limit(self, each: Limit) -> None:
        """The finest that came out."""
        if each.value is None:
            return
        how = "the finest tried, and it came out" if each.beyond is None else (
            f"{each.value:g} came out, {each.beyond:g} did not"
        )  # fmt: skip
        self._keep(each.figure, each.value, each.doubt, each.tried, how)

    def take_scatter(self, biases: Sequence[Bias]) -> None:
        """What a row lies off its line, of all lines together (JCGM 100:2008, E.4.3)."""
        lines = sum(len(each.lines) for each in biases)
        freedom = sum(len(each.rows) for each in biases) - 2 * lines
        if freedom < 1:
            return
        squares = math.fsum(each.spread**2 * each.freedom for each in biases)
        sd = math.sqrt(squares / freedom)
        doubt = coverage_factor(freedom) * WITHIN * sd / math.sqrt(2 * freedom)
        count = sum(len(row.read) for each in biases for row in each.rows)
        how = f"what {freedom} degrees of freedom leave, two standard deviations"
        self._keep("scatter", WITHIN * sd, doubt, count, how)

    def take_foot(
        self, readings: GaugeReadings, repeats: tuple[float, int] | None, biases: Sequence[Bias]
    ) -> None:
        """Half of what the ear is wider at the plate than above."""
        low, high = _read(readings, "foot"), _read(readings, "above the foot")
        if not low or not high:
            return
        wider = math.fsum(low) / len(low) - math.fsum(high) / len(high)
        doubt = None
        if repeats is not None:
            sd, freedom = repeats
            doubt = coverage_factor(freedom) * sd * math.sqrt(1 / len(low) + 1 / len(high)) / 2
        count = len(low) + len(high)
        self._keep("foot_spread", max(wider / 2, 0.0), doubt, count, "width at the plate and above")

    def on(self, card: PrinterCard) -> PrinterCard:
        """A card with these figures in place of its own."""
        kept = {
            "origins": {**card.origins, **self.origins},
            "uncertainties": {**_without(card.uncertainties, self.values), **self.uncertainties},
            "readings": {**_without(card.readings, self.values), **self.counts},
            "correlations": {**_without(card.correlations, self.values), **self.correlations},
        }
        return replace(card, **cast(Any, {**self.values, **kept}))


def _without(known: Any, names: Any) -> dict[str, Any]:
    return {name: value for name, value in known.items() if name not in names}


def _rows(readings: GaugeReadings, sort: Sort) -> tuple[GaugeRow, ...]:
    return tuple(row for row in readings.rows if row.sort == sort)


def _read(readings: GaugeReadings, sort: Sort) -> tuple[Length, ...]:
    return tuple(each for row in _rows(readings, sort) for each in row.read)


def _repeats(rows: Sequence[GaugeRow]) -> tuple[float, int] | None:
    """Standard deviation of one reading of one row, with its degrees of freedom; None where no row
    was read twice, or all read the same."""
    several = [row.read for row in rows if len(row.read) > 1]
    freedom = sum(len(each) for each in several) - len(several)
    squares = math.fsum(mean_and_sd(each)[1] ** 2 * (len(each) - 1) for each in several)
    return (math.sqrt(squares / freedom), freedom) if freedom and squares > 0.0 else None


def _sd(repeats: tuple[float, int] | None) -> Length | None:
    return None if repeats is None else repeats[0]


def _notes(
    readings: GaugeReadings, card: PrinterCard, biases: Sequence[Bias], limits: Sequence[Limit]
) -> Iterator[str]:
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
    for sort, (figure, _) in FIGURES.items():
        if figure not in known:
            why = "none came out" if any(e.figure == figure for e in limits) else "none was tried"
            yield f"{figure} stays {getattr(card, figure):g}: of each '{sort}' {why}."
    if not _read(readings, "foot") or not _read(readings, "above the foot"):
        yield f"foot_spread stays {card.foot_spread:g} mm: the foot was not read."


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
