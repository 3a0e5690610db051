"""How often the models of a 3MF place their objects: counted before any is laid out.

Objects hold components, which are objects again: a few lines may stand for a trillion of bodies,
and a long chain of them breaks readers that follow it by recursion. So both are told from the XML.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from nests.units import BadInput

MOST_BODIES = 1000
"""Objects and components a build may place: components can multiply without end."""
LONGEST_CHAIN = 64
"""Objects that may hold one another; an assembly of assemblies has a few. Chosen, no source."""
MOST_COMPONENTS = 100_000
"""Components that are kept in mind while they are counted."""
PLACING = ("object", "component", "item")
"""Elements of the core that say what is placed."""
_ENOUGH = 10**18
"""Counted no further."""

Named = tuple[str, str]
"""An object by its model part and its number there."""


@dataclass
class Placed:
    """Objects, their components and the build, as the models of the package `name` give them."""

    name: str
    _inside: dict[Named, list[Named]] = field(default_factory=dict)
    _build: list[Named] = field(default_factory=list)
    _object: Named = ("", "")
    _count: int = 0

    def note(self, part: str, word: str, attributes: Mapping[str, str], path: str) -> None:
        """One of the elements `PLACING` in a model part; `path` names another part, or none.

        Raises `BadInput` for more than are kept in mind.
        """
        if word == "object":
            self._object = (part, attributes.get("id", ""))
            return
        self._count += 1
        if self._count > MOST_COMPONENTS:
            raise BadInput(
                f"{self.name} names more than {MOST_COMPONENTS} components; no more are read."
            )
        meant = (path.lstrip("/") or part, attributes.get("objectid", ""))
        if word == "item":
            self._build.append(meant)
        else:
            self._inside.setdefault(self._object, []).append(meant)

    def refuse(self) -> None:
        """Raise `BadInput` for more objects than are laid out, a chain too long, or a circle."""
        many: dict[Named, int] = {}
        deep: dict[Named, int] = {}
        for first in self._build:
            self._follow(first, many, deep)
        total = sum(many[each] for each in self._build)
        if total > MOST_BODIES:
            raise BadInput(
                f"{self.name} places more than {MOST_BODIES} objects and components: {total:.4g}."
            )
        longest = max((deep[each] for each in self._build), default=0)
        if longest > LONGEST_CHAIN:
            raise BadInput(
                f"{self.name} has {longest} objects that hold one another in a chain; at most "
                f"{LONGEST_CHAIN} are followed."
            )

    def _follow(self, first: Named, many: dict[Named, int], deep: dict[Named, int]) -> None:
        """Count what an object places and how deep, without recursion."""
        open_now: set[Named] = set()
        ahead = [first]
        while ahead:
            here = ahead[-1]
            inside = self._inside.get(here, [])
            if here in many:
                ahead.pop()
            elif here in open_now:  # all inside is known by now
                many[here] = min(1 + sum(many[each] for each in inside), _ENOUGH)
                deep[here] = 1 + max((deep[each] for each in inside), default=0)
                open_now.discard(here)
                ahead.pop()
            else:
                open_now.add(here)
                if any(each in open_now for each in inside):
                    raise BadInput(
                        f"{self.name} has an object that holds itself: number '{here[1]}'."
                    )
                ahead += [each for each in dict.fromkeys(inside) if each not in many]
