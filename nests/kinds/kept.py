"""A holder that exists: its recipe, what was gauged on the print, and what became of it.

Nothing is ever taken out of its history: what holds now is what the last change says.
"""

from __future__ import annotations

import math
import re
import string
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from nests.given.tools import TOOLS
from nests.holder.recipe import HolderKind, Recipe
from nests.parts.feature import hyphened
from nests.units import (
    BadInput,
    Length,
    Quantity,
    Record,
    described,
    mm,
    prose,
    quantity,
    require_date,
    said,
)

Trial = Literal["good", "bad"]
State = Literal["in use", "worn", "retired"]
Deed = Literal["filed", "measured", "retired", "reinstated", "undone", "redone"]
OF_HISTORY: tuple[Deed, ...] = ("undone", "redone")
"""What is done to changes, not to a holder: it is not undone itself."""
LETTERS: dict[HolderKind, str] = {
    "movement holder": "M",
    "sub-assembly cradle": "S",
    "case holder": "C",
    "cushion mould": "P",
}
"""First letter of an id, by kind of holder; P for the pad that is cast in the mould."""

FILING_UNDONE = "the filing was undone"

SIZE = Quantity("mm", 0.0, 200.0, "a size as gauged")
"""What a reading may be at all."""
FROM_LEDGE = Quantity("mm", -1.0, 60.0, "a height as gauged from the ledge")
"""The same of a tip that lies about level with the ledge: it may be on its other side."""
_ID = re.compile(r"([A-Z])([1-9][0-9]{0,6})-([0-9A-Z])")
_DIGITS = string.digits + string.ascii_uppercase


def check_character(text: str) -> str:
    """Check character of ISO/IEC 7064, MOD 37,36: finds every single wrong character."""
    product = 36
    for each in text:
        total = (product + _DIGITS.index(each)) % 36 or 36
        product = 2 * total % 37
    return _DIGITS[(37 - product) % 36]


def make_id(kind: HolderKind, number: int) -> str:
    """The id of a holder, such as `M12-1`: letter of its kind, number, check character."""
    stem = f"{LETTERS[kind]}{number}"
    return f"{stem}-{check_character(stem)}"


def read_id(text: str) -> str:
    """An id as typed, in capitals. Raises `BadInput` if it is none, or mistyped."""
    shown = text.strip().upper()
    match = _ID.fullmatch(shown)
    if match is None:
        raise BadInput(f"'{text}' is no id of a holder; one such as {make_id('case holder', 7)}.")
    if check_character(match[1] + match[2]) != match[3]:
        raise BadInput(f"'{text}' is mistyped: its last character does not fit the others.")
    return shown


@dataclass(frozen=True, kw_only=True)
class Readings(Record):
    """What was gauged and tried on the print, standing on the bench as it is used.

    `sizes` and `tried` go by the names of the list in `gauging`. `seat`, `ledge` and `posts` are
    where documents of before have theirs; `gauged` gives all of them by name.
    """

    sizes: Mapping[str, tuple[float, ...]] = field(
        default_factory=dict,
        metadata=described("readings in mm by the name of what was gauged, one or several of each"),
    )
    tried: Mapping[str, Trial] = field(
        default_factory=dict, metadata=described("what was tried and looked at, by its name")
    )
    seat: tuple[float, ...] = said("as 'seat' in sizes; read, no longer written", ())
    ledge: Length | None = mm(
        None, low=0.2, high=60.0, meaning="as 'ledge' in sizes; read, no longer written"
    )
    posts: Mapping[str, float] = field(
        default_factory=dict,
        metadata=described("as 'under-' with their name in sizes; read, no longer written"),
    )
    mass: float | None = quantity("g", None, 0.05, 2000.0, "mass of the holder")
    gauge: str = said("what it was gauged with", "")
    uncertainty: Length | None = mm(
        None, low=0.0, high=1.0, meaning="measuring uncertainty of a reading, ± (k = 2)"
    )

    def __post_init__(self) -> None:
        """Check every reading; raises `BadInput`."""
        super().__post_init__()
        for name, each in self.gauged.items():
            if not each:
                raise BadInput(f"{name} has no reading; leave it out, or give one.")
            for reading in each:
                (FROM_LEDGE if name.endswith("-ledge") else SIZE).check(name, reading)

    @property
    def gauged(self) -> dict[str, tuple[float, ...]]:
        """All readings in mm by the name of what was gauged."""
        out = {"seat": self.seat} if self.seat else {}
        out |= {"ledge": (self.ledge,)} if self.ledge is not None else {}
        out |= {hyphened(f"under {name}"): (each,) for name, each in self.posts.items()}
        return {**out, **self.sizes}

    @property
    def doubt(self) -> Length | None:
        """± of a reading: as given, or that of the tool it was gauged with; None for neither."""
        return TOOLS.get(self.gauge) if self.uncertainty is None else self.uncertainty

    def mean(self, name: str) -> Length | None:
        """Mean of the readings of one name, None where it was not gauged."""
        each = self.gauged.get(name)
        return math.fsum(each) / len(each) if each else None

    @property
    def empty(self) -> bool:
        """Whether nothing was gauged, tried or weighed."""
        return not self.gauged and not self.tried and self.mass is None

    def over(self, before: Readings) -> Readings:
        """These readings, with those of `before` wherever nothing was gauged anew."""
        return Readings(
            sizes={**before.gauged, **self.gauged},
            tried={**before.tried, **self.tried},
            mass=before.mass if self.mass is None else self.mass,
            gauge=self.gauge or before.gauge,
            uncertainty=before.uncertainty if self.uncertainty is None else self.uncertainty,
        )


@dataclass(frozen=True, kw_only=True)
class Change(Record):
    """One thing that happened to a holder, and how it stands after it."""

    number: int = quantity("", low=1, high=10**9, meaning="place among all changes of the drawer")
    did: Deed = said("what was done")
    date: str = said("year-month-day, as the person gives it", "")
    note: str = prose("anything the person adds", "")
    by: str = said("who did it, as the person gives it", "")
    undoes: int | None = quantity("", None, 1, 10**9, "number of the change this one undoes")
    redoes: int | None = quantity("", None, 1, 10**9, "number of the undoing this one takes back")
    state: State = said("state after it", "in use")
    reason: str = prose("why it is worn or retired", "")
    readings: Readings = said("what is known from gauging after it", Readings())

    def __post_init__(self) -> None:
        """Check date and numbers; raises `BadInput`."""
        super().__post_init__()
        require_date(self.date)
        if (self.did == "undone") != (self.undoes is not None):
            raise BadInput(f"change {self.number} is '{self.did}'; 'undone' names what it undoes.")
        if (self.did == "redone") != (self.redoes is not None):
            raise BadInput(f"change {self.number} is '{self.did}'; 'redone' names what it redoes.")
        if self.state == "retired" and not self.reason:
            raise BadInput(f"change {self.number} retires the holder; a reason is needed.")


def _require_id(name: str, given: str) -> None:
    try:
        read_id(given)
    except BadInput as bad:
        raise BadInput(f"{name}: {bad}") from None


@dataclass(frozen=True, kw_only=True)
class KeptHolder(Record):
    """One holder of the drawer."""

    id: str = said("letter of its kind, number, check character, such as M12-1")
    recipe: Recipe = said("the recipe it was printed from")
    history: tuple[Change, ...] = said("what happened to it, oldest first; one change or more")
    was: str = said("id it had in the drawer it was imported from, where that id was taken", "")

    def __post_init__(self) -> None:
        """Check id and order of the history; raises `BadInput`."""
        super().__post_init__()
        for name in ("id", "was"):
            if given := getattr(self, name):
                _require_id(name, given)
        if read_id(self.id) != self.id or self.id[0] != LETTERS[self.recipe.kind]:
            raise BadInput(f"id is '{self.id}'; it does not belong to a {self.recipe.kind}.")
        if self.was and read_id(self.was) != self.was:
            raise BadInput(f"was is '{self.was}'; the id of a holder is needed.")
        numbers = [each.number for each in self.history]
        if not numbers or self.history[0].did != "filed":
            raise BadInput(f"{self.id}: the history must begin with the filing.")
        if sorted(set(numbers)) != numbers:
            raise BadInput(f"{self.id}: the history is out of order: {numbers}.")
        self._check_names()

    def _check_names(self) -> None:
        """Raise `BadInput` unless what is undone or redone is a change that came before."""
        before: dict[int, Deed] = {}
        for each in self.history:
            named = each.undoes or each.redoes
            did = before.get(named) if named else None
            right = did == "undone" if each.redoes else did is not None and did not in OF_HISTORY
            if named and not right:
                raise BadInput(
                    f"{self.id}: change {each.number} is '{each.did}' and names {named}, which is "
                    "no change of this holder that can be."
                )
            before[each.number] = each.did

    @property
    def now(self) -> Change:
        """The last change, which says how the holder stands."""
        return self.history[-1]

    @property
    def deeds(self) -> tuple[Change, ...]:
        """What was done to the holder, undone or not, without the undoing and redoing."""
        return tuple(c for c in self.history if c.did not in OF_HISTORY)

    @property
    def undoings(self) -> tuple[Change, ...]:
        """The undoings that were not taken back."""
        back = {each.redoes for each in self.history}
        return tuple(c for c in self.history if c.did == "undone" and c.number not in back)

    @property
    def standing(self) -> tuple[Change, ...]:
        """What was done to the holder and is not undone now."""
        gone = {each.undoes for each in self.undoings}
        return tuple(c for c in self.deeds if c.number not in gone)

    @property
    def before_retiring(self) -> Change | None:
        """The last change after which it was not retired; None if there is none."""
        return next((c for c in reversed(self.history) if c.state != "retired"), None)

    @property
    def when_new(self) -> dict[str, Length]:
        """Mean of the first readings of everything that was ever gauged, by name."""
        out: dict[str, Length] = {}
        for each in self.standing:
            first = {name: math.fsum(of) / len(of) for name, of in each.readings.gauged.items()}
            out = {**first, **out}
        return out
