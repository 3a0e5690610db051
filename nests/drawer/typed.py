"""Readings as they are typed: name=value pairs, held against the list of the holder."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from difflib import get_close_matches

from nests.holder.gauging import Row, to_gauge
from nests.holder.recipe import Recipe
from nests.kinds.kept import Readings, Trial
from nests.lengths import read_length
from nests.parts.feature import Feature, hyphened
from nests.units import BadInput, Length

BY_EYE = "by-eye"
"""Stands for all that is tried and looked at and not typed by its own name: by-eye=good."""
FAR_OFF: Length = 0.5
"""mm a reading may be away from the drawing before it is taken for a mistake; from memory."""
DOUBTFUL: Length = 0.1
"""mm beyond its limits at which a printed size is asked about before it is believed: a printer of
which a card was made is not so far off, a slip of a caliper or another zero is; from memory."""
FORM = "NAME=VALUE is needed, such as seat=26.07 or edges=good"
FROM_BENCH = "heights are read from the bench the holder stands on."


class Doubtful(BadInput):
    """Readings that can hardly be true; `names` are those of the list, `asked` what is asked of
    each where somebody can answer."""

    def __init__(self, asked: Sequence[str], names: Sequence[str]) -> None:
        """One sentence for each, and their names."""
        both = zip(asked, names, strict=True)
        super().__init__(
            *(f"{says} Nothing is kept; gauge it again, or say --as-read {n}." for says, n in both)
        )
        self.asked, self.names = tuple(asked), tuple(names)


def typed(
    pairs: Sequence[str], recipe: Recipe, *, mass: float | None = None, gauge: str = "",
    uncertainty: Length | None = None,
) -> Readings:  # fmt: skip
    """Readings from pairs such as `seat=26.07`; a size may be given several times.

    Raises `BadInput` for what is no pair, a name that is not on the list (with the nearest), a
    value that is no length or no 'good' or 'bad', and a trial that is given twice.
    """
    rows = {row.name: row for row in to_gauge(recipe)}
    sizes: dict[str, tuple[Length, ...]] = {}
    tried: dict[str, Trial] = {}
    whole = False
    for pair in pairs:
        given, equals, value = pair.rpartition("=")
        if not equals or not given.strip():
            raise BadInput(f"a reading is '{pair}'; {FORM}.")
        if hyphened(given).casefold() == BY_EYE:
            if value.strip().casefold() != "good":
                raise BadInput(
                    f"{BY_EYE} is '{value}'; only {BY_EYE}=good is possible: what is bad is typed "
                    "by its own name."
                )
            whole = True
            continue
        row = _row(given, rows, recipe)
        if row.tried:
            if row.name in tried:
                raise BadInput(f"{row.name} is given twice; it is good or bad.")
            tried[row.name] = _trial(row.name, value)
        else:
            length = read_length(value, row.name).mm
            sizes[row.name] = (*sizes.get(row.name, ()), length)
    if whole:
        tried = {**{name: "good" for name, row in rows.items() if row.tried}, **tried}
    return Readings(sizes=sizes, tried=tried, mass=mass, gauge=gauge, uncertainty=uncertainty)


def _row(given: str, rows: dict[str, Row], recipe: Recipe) -> Row:
    wanted = hyphened(given)
    if wanted in rows:
        return rows[wanted]
    alike = [row for name, row in rows.items() if name.casefold() == wanted.casefold()]
    if len(alike) == 1:
        return alike[0]
    raise unknown_name(given, rows, recipe)


def unknown_name(given: str, rows: dict[str, Row], recipe: Recipe) -> BadInput:
    """What to say of a name that is not on the list: the nearest that is, and all there are."""
    folded = {name.casefold(): name for name in rows}
    wanted = hyphened(given).casefold()
    near = [name for name in folded if wanted and wanted in name][:1]
    near += get_close_matches(wanted, folded, 1, 0.5)
    nearest = f"the nearest is {folded[near[0]]}; " if near else ""
    return BadInput(
        f"'{given}' is nothing to be gauged on {recipe.name}; {nearest}there are {', '.join(rows)}."
    )


def _trial(name: str, value: str) -> Trial:
    word = value.strip().casefold()
    if word == "good":
        return "good"
    if word == "bad":
        return "bad"
    raise BadInput(f"{name} is '{value}'; good or bad is needed.")


def require_plausible(recipe: Recipe, readings: Readings) -> None:
    """Raise `BadInput` for a reading of another place, another holder or another zero."""
    rows = {row.name: row for row in to_gauge(recipe)}
    for name in (*readings.gauged, *readings.tried):
        if name not in rows:
            raise unknown_name(name, rows, recipe)
    for name in readings.tried:
        if not rows[name].tried:
            raise BadInput(f"{name} is gauged in mm, not good or bad.")
    for name, each in readings.gauged.items():
        feature = rows[name].feature
        if rows[name].tried:
            raise BadInput(f"{name} is good or bad, not gauged in mm.")
        for reading in each:
            if abs(reading - feature.nominal) > FAR_OFF:
                raise BadInput(
                    f"{name} is {reading:g} mm, but it is drawn {feature.nominal:.2f} mm; "
                    f"{_hint(feature)}"
                )


def require_believed(recipe: Recipe, readings: Readings, believed: Collection[str] = ()) -> None:
    """Raise `Doubtful` for printed sizes so far beyond their limits that they are asked about; not
    for those of names that are `believed`. What is set by hand may stand anywhere."""
    rows = {row.name: row for row in to_gauge(recipe)}
    faults, names = [], []
    for name, each in readings.gauged.items():
        feature = rows[name].feature
        if feature.set_again or feature.by_hand or feature.sort == "flat" or name in believed:
            continue
        far = max(each, key=lambda reading: abs(reading - feature.nominal))
        if abs(far - feature.nominal) > feature.within + DOUBTFUL:
            faults.append(
                f"{name} is {far:g} mm, but {feature.limits()} is asked, which is "
                f"{abs(far - feature.nominal):.2f} mm off: is that the reading?"
            )
            names.append(name)
    if faults:
        raise Doubtful(faults, names)


def _hint(feature: Feature) -> str:
    if feature.datum is not None:
        return f"it is gauged from the ledge, {'down' if feature.down else 'up'} from it."
    return _HINTS[feature.sort]


_HINTS = {
    "bore": "gauge it again, or is it another holder?",
    "outer": "gauge it again, or is it another holder?",
    "level": FROM_BENCH,
    "tip": FROM_BENCH,
    "flat": "a foot that rocks so much is no foot: print anew.",
}
