"""The acceptance list on paper: what to gauge and try on the print before a workpiece goes in."""

from __future__ import annotations

from nests.holder.gauging import Row as Gauged
from nests.holder.gauging import to_gauge
from nests.holder.recipe import MOULD, Recipe

Row = tuple[str, str, str, str, str]
"""What, with which gauge and where, limits, the name its reading is filed by, reading (blank)."""

DRY_RUN: Row = (
    "dry run",
    "lay a dummy, or the workpiece without pressing, in and take it out",
    "goes in by its own weight, lies still",
    "not filed",
    "",
)
"""Of what is laid in, and not of the print: done again each time, and not filed."""
INKED = "ink the tip with a marker, lay the workpiece in without pressing, lift it straight out"
MARKED = "a mark on the jewel and none beside it, none on a pivot; wipe both clean"
"""The transfer test of a tip, done as often as the dry run; common practice, no source."""
CAST_FIRST = "Before the first pad is cast, and after it."
HEIGHTS = (
    "Heights: with an indicator, the foot of the holder on a surface plate, the zero where the row "
    "says; the ledge is gauged first."
)
FILED = "Readings are filed by name, such as seat=26.07; what is tried is good or bad: cured=good."


def acceptance(recipe: Recipe) -> tuple[Row, ...]:
    """Rows of the list, in the order of the bench: by eye, seat, posts, try."""
    rows = (*_engraved(recipe), *(_row(each, recipe) for each in to_gauge(recipe)))
    return rows if recipe.kind == MOULD else (*rows, DRY_RUN, *_inked(recipe))


def _inked(recipe: Recipe) -> tuple[Row, ...]:
    """Where a tip meets its jewel is seen by what it leaves on it."""
    arbors = {each.name for each in recipe.workpiece.arbors}
    posts = (part for part in recipe.parts if part.post() is not None)
    under = [name for part in posts for name in part.serves().under if name in arbors]
    if not under:
        return ()
    return ((f"transfer test under {', '.join(under)}", INKED, MARKED, "not filed", ""),)


def _engraved(recipe: Recipe) -> tuple[Row, ...]:
    """What must be read on it before anything else is gauged: that it is this holder."""
    texts = [text for part in recipe.parts if (text := part.engraves())]
    if not texts:
        return ()
    read = ", ".join(f"'{text}'" for text in texts)
    return (("engraved", "read on the upper face", read, "not filed", ""),)


def _row(row: Gauged, recipe: Recipe) -> Row:
    feature = row.feature
    return (feature.says, row.where(recipe.site()), feature.limits(), row.name, "")
