"""Where crossing over stops: small rules in closed form, each a sentence with its numbers in mm.

`rules_seat`, `rules_support` and `rules_reach` hold them; what needs the solid itself is left to
the checks at the bench.
"""

from __future__ import annotations

from nests.finding import MEMORY, Finding, Grade
from nests.units import Length


def ruling(
    check: str, grade: Grade, says: str, remedy: str = "", value: Length | None = None,
    limit: Length | None = None, part: str = "", origin: str = MEMORY,
    place: tuple[float, float, float] | None = None,
) -> Finding:  # fmt: skip
    """A finding of one rule: values in mm, `part` the label it is about."""
    rounded = None if value is None else round(value, 4)
    return Finding(
        check=check, grade=grade, says=says, parts=(part,) if part else (), value=rounded,
        limit=limit, unit="mm" if value is not None else "", origin=origin, place=place,
        remedy=remedy,
    )  # fmt: skip
