"""A printer card from the readings of its gauge plate: every figure with its uncertainty, how many
readings it was taken from, and where it comes from. Nothing that was read is left out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from nests.consistency import require_card
from nests.gauge.bias import Bias, Field, bias
from nests.gauge.foot import Foot, foot
from nests.gauge.limits import FIGURES, Limit, limit
from nests.gauge.remarks import OF_SORT, WITHIN, notes, odd
from nests.given.printer_card import PrinterCard
from nests.kinds.gauge_readings import GaugeReadings, GaugeRow, Sort
from nests.statistics.line import coverage_factor, mean_and_sd
from nests.units import BadInput, Length

DIGITS = 6


@dataclass(frozen=True)
class CardFit:
    """The new card and what it was taken from. `repeats` is the standard deviation of one reading
    of one row, None where no row was read twice; `foot` is None where it was not read."""

    card: PrinterCard
    readings: GaugeReadings
    biases: tuple[Bias, ...]
    limits: tuple[Limit, ...]
    repeats: Length | None
    notes: tuple[str, ...]
    odd: tuple[str, ...]
    foot: Foot | None = None

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
        figures.take_limit(tried, card)
    scatter = _scatter(biases)
    if scatter is not None:
        figures.take_scatter(*scatter, biases)
    found = _foot(readings.rows, scatter, repeats)
    if found is not None:
        figures.take_foot(found)
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
    told = notes(readings, card, biases, limits, found)
    strange = odd(readings, biases, limits, repeats, found)
    return CardFit(made, readings, biases, limits, _sd(repeats), told, strange, found)


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
        told = "x and y were not told apart: too little was read of one of them"
        if each.chance is not None:
            shows = "x and y differ" if each.apart else "one line does for x and y"
            told = f"{shows} (by chance: {each.chance:.2g})"
        # twice as uncertain as their mean: both lines are known equally well but for the rows
        apart_doubt = (2 * each.offset_doubt, 2 * each.slope_doubt) if each.apart else (None, None)
        self._keep(f"{side}_bias_apart", each.offset_apart, apart_doubt[0], each.readings, told)
        self._keep(f"{side}_slope_apart", each.slope_apart, apart_doubt[1], each.readings, told)

    def take_limit(self, each: Limit, card: PrinterCard) -> None:
        """The hardest that came out."""
        if each.value is None or each.only_a_bound(card):
            return
        way = "largest" if each.harder > 0 else "finest"
        how = f"the {way} tried, and it came out" if each.beyond is None else (
            f"{each.value:g} came out, {each.beyond:g} did not"
        )  # fmt: skip
        self._keep(each.figure, each.value, each.doubt, each.tried, how)

    def take_scatter(self, sd: Length, freedom: int, biases: Sequence[Bias]) -> None:
        """What a row lies off its line, of all lines together (JCGM 100:2008, E.4.3)."""
        doubt = coverage_factor(freedom) * WITHIN * sd / math.sqrt(2 * freedom)
        count = sum(len(row.read) for each in biases for row in each.rows)
        how = f"what {freedom} degrees of freedom leave, two standard deviations"
        self._keep("scatter", WITHIN * sd, doubt, count, how)

    def take_foot(self, each: Foot) -> None:
        """Spread and height of the first layers."""
        ways = " and ".join(axis for axis, _ in each.by_axis)
        how = f"width at the plate and above, in {each.axis or ways}"
        if each.axis:
            how += ", the larger of two told apart"
        self._keep("foot_spread", max(each.spread, 0.0), each.doubt, each.readings, how)
        if each.height is None or each.still is None or each.sure is None:
            return
        how = (
            f"at {each.still:g} mm it still stands out, from {each.height:g} mm up by less than "
            f"{1000 * each.sure:.0f} µm"
        )
        count = sum(len(share.row.read) for share in each.shares)
        self._keep("foot_height", each.height, each.height - each.still, count, how)

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


def _scatter(biases: Sequence[Bias]) -> tuple[Length, int] | None:
    """Standard deviation of a row about its line, of all lines together, with its degrees of
    freedom; None where none are left."""
    lines = sum(len(each.lines) for each in biases)
    freedom = sum(len(each.rows) for each in biases) - 2 * lines
    if freedom < 1:
        return None
    squares = math.fsum(each.spread**2 * each.freedom for each in biases)
    return math.sqrt(squares / freedom), freedom


def _foot(
    rows: Sequence[GaugeRow], scatter: tuple[Length, int] | None, repeats: tuple[float, int] | None
) -> Foot | None:
    if scatter is not None and scatter[0] > 0.0:
        return foot(rows, scatter[0], 0.0, scatter[1])
    return foot(rows, 0.0, *(repeats or (0.0, 0)))


def _repeats(rows: Sequence[GaugeRow]) -> tuple[float, int] | None:
    """Standard deviation of one reading of one row, with its degrees of freedom; None where no row
    was read twice, or all read the same."""
    several = [row.read for row in rows if len(row.read) > 1]
    freedom = sum(len(each) for each in several) - len(several)
    squares = math.fsum(mean_and_sd(each)[1] ** 2 * (len(each) - 1) for each in several)
    return (math.sqrt(squares / freedom), freedom) if freedom and squares > 0.0 else None


def _sd(repeats: tuple[float, int] | None) -> Length | None:
    return None if repeats is None else repeats[0]
