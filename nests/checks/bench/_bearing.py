"""Where the holder carries the workpiece from below, measured on its solid."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from nests.holder.compose import Holder
from nests.holder.workpiece import plan_distances, rim_plan
from nests.parts.answers import Contact
from nests.parts.post import Post

Floats: TypeAlias = NDArray[np.float64]

SKIN = 0.002
"""mm below a face at which it is cut, so that the cut does not run along it."""
TURN = 64
"""Points on the edge of a tip."""


def carrying(holder: Holder) -> tuple[tuple[str, Contact], ...]:
    """Contacts that carry from below, with the labels of their parts.

    Those drawn to touch, or the nearest if none is.
    """
    site = holder.recipe.site()
    below = [
        (each.label, contact)
        for each in holder.laid
        for contact in each.part.contacts(site)
        if not contact.above
    ]
    least = max(min((c.gap for _, c in below), default=0.0), 0.0)
    return tuple((label, c) for label, c in below if c.gap <= least)


def bearing_points(holder: Holder) -> Floats:
    """Corners (n, 2) of the faces the workpiece stands on.

    A face of the solid is cut just under the contact; the tip of a post, which may be an insert,
    is taken from its contact.
    """
    posts = {each.label: post for each in holder.laid if (post := each.part.post()) is not None}
    found = carrying(holder)
    out = [_tip(posts[label], c) for label, c in found if label in posts]
    faces = [c for label, c in found if label not in posts]
    for z in sorted({c.place[2] for c in faces}):
        out += _faces(holder, z, [c for c in faces if c.place[2] == z])
    return np.vstack(out) if out else np.zeros((0, 2))


def _tip(post: Post, contact: Contact) -> Floats:
    """Edge of a tip: its area alone would not tell, for a pivot may be spared in its middle."""
    radius = post.wide / 2
    turn = np.arange(TURN) * (2 * np.pi / TURN)
    return np.asarray(contact.place[:2]) + radius * np.column_stack((np.cos(turn), np.sin(turn)))


def _faces(holder: Holder, z: float, contacts: list[Contact]) -> Iterator[Floats]:
    site = holder.recipe.site()
    places = np.array([c.place[:2] for c in contacts])
    reach = np.array([np.sqrt(c.area) / 2 for c in contacts])
    under: CrossSection = holder.solid.slice(z - SKIN) ^ rim_plan(site, site.side_down)
    for piece in under.decompose():
        if (plan_distances(piece, places) <= reach).any():
            yield from (np.asarray(ring, dtype=np.float64) for ring in piece.to_polygons())
