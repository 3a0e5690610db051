"""The body with each part's cut taken from it and then its addition put to it, one after the other.

The kernel works through the whole body each time. So what is cut off the body before anything is
put there is cut at once, and remembered: of a holder that is changed, or tried with other posts, it
mostly stays. A cut may come before an addition if their upright boxes stand apart; then so do they.
"""

from __future__ import annotations

import atexit
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

from nests.parts.answers import Shape
from nests.solids.solid import Solid, boxes_meet, content, union

KEPT = 6
"""Bodies that are remembered; a search goes to and fro between a few."""


@dataclass(frozen=True)
class Begun:
    """A body and what is cut off it first, each with an id of its own, and what is left."""

    key: bytes
    body: Solid
    cuts: tuple[Solid, ...]
    left: Solid


_lately: deque[Begun] = deque(maxlen=KEPT)
atexit.register(_lately.clear)


def folded(body: Solid, shapes: Sequence[Shape]) -> tuple[Solid, Solid, tuple[Shape, ...]]:
    """The solid, and the body and the shapes in it: each solid of theirs has an id that no other
    has, by which the faces it made are known."""
    early, late = _sorted(shapes)
    begun = _begun(body, [cut for cut in early if cut is not None])
    first = iter(begun.cuts)
    own = [
        Shape(
            None if shape.adds is None else shape.adds.as_original(),
            next(first) if cut is not None else None if rest is None else rest.as_original(),
            shape.beside,
            shape.room,
        )
        for shape, cut, rest in zip(shapes, early, late, strict=True)
    ]
    solid, adds, cuts = begun.left, list[Solid](), list[Solid]()
    for each, rest in zip(own, late, strict=True):
        if rest is not None and each.cuts is not None:
            cuts.append(each.cuts)
        if each.adds is not None:
            if any(boxes_meet(each.adds, cut) for cut in cuts):
                solid, adds, cuts = _taken(solid, adds, cuts), [], []
            adds.append(each.adds)
    return _taken(solid, adds, cuts), begun.body, tuple(own)


def _sorted(shapes: Sequence[Shape]) -> tuple[list[Solid | None], list[Solid | None]]:
    """Of each shape its cut, among those that meet no addition before them, or among the others."""
    early, late, before = list[Solid | None](), list[Solid | None](), list[Solid]()
    for each in shapes:
        waits = each.cuts is not None and any(boxes_meet(a, each.cuts) for a in before)
        early.append(None if waits else each.cuts)
        late.append(each.cuts if waits else None)
        before += [] if each.adds is None else [each.adds]
    return early, late


def _begun(body: Solid, cuts: Sequence[Solid]) -> Begun:
    key = content([body, *cuts])
    for known in tuple(_lately):  # another thread may add to them meanwhile
        if known.key == key:
            return known
    own, off = body.as_original(), tuple(cut.as_original() for cut in cuts)
    left = own - union(off) if off else own
    left.num_tri()  # worked out by itself, so that it is the same whatever comes after it
    begun = Begun(key, own, off, left)
    _lately.append(begun)
    return begun


def _taken(solid: Solid, adds: list[Solid], cuts: list[Solid]) -> Solid:
    grown = union([solid, *adds]) if adds else solid
    return grown - union(cuts) if cuts else grown
