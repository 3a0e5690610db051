"""How a weight is shared between what holds it, when a workpiece hangs turned over."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .arrays import Floats

NOTHING = 1e-9
"""mm and N below which a lever or a pull counts as nothing."""


def hanging_shares(hooks: ArrayLike, ledge: ArrayLike, load: float) -> Floats | None:
    """Force (n,) N on each of n equal springing hooks that carry `load` N acting over the axis.

    `hooks` (n, 2) mm push up, the `ledge` (m, 2) above the rim can only push down. With the axis
    between the hooks they share as under a rigid body: the least squares that balance force and
    moments. Else the body turns about the side of the hooks nearest to the axis until the ledge
    beyond stops it, which adds lever forces. None where nothing stops it.
    """
    at, above = (np.asarray(x, dtype=np.float64).reshape(-1, 2) for x in (hooks, ledge))
    shares = _balanced(at, load, np.zeros(2))
    if shares is not None:
        return shares
    best: Floats | None = None
    for normal, offset in _sides(at):
        if offset > -NOTHING:  # the axis lies inside this side
            continue
        far = above[int(np.argmin(above @ normal))] if len(above) else np.zeros(2)
        arm = offset - float(far @ normal)
        if arm < NOTHING:
            return None
        down = load * -offset / arm
        total = load + down
        found = _balanced(at, total, down * far / total)
        if found is not None and (best is None or found.max() < best.max()):
            best = found
    return best


def _balanced(at: Floats, load: float, place: Floats) -> Floats | None:
    """Forces at `at` that balance a load at a place; None if they cannot without pulling.

    Hooks that would have to pull let go, and the others are asked again.
    """
    scale = 1e-6 * max(load, NOTHING) * max(1.0, float(np.abs(at).max(initial=0.0)))
    wanted = load * np.array([1.0, *place])
    forces, on = np.zeros(len(at)), np.ones(len(at), dtype=bool)
    while on.any():
        modes = np.vstack([np.ones(on.sum()), at[on].T])
        forces[:] = 0.0
        forces[on] = np.linalg.lstsq(modes, wanted, rcond=None)[0]
        if np.abs(modes @ forces[on] - wanted).max() > scale:
            return None
        pulling = forces < -scale
        if not pulling.any():
            return np.asarray(np.maximum(forces, 0.0))
        on &= ~pulling
    return None


def _sides(at: Floats) -> list[tuple[Floats, float]]:
    """Lines through two hooks with all others behind: outward normal, and normal · point."""
    out = []
    for i in range(len(at)):
        for j in range(len(at)):
            along = at[j] - at[i]
            span = float(np.hypot(*along))
            if i == j or span < NOTHING:
                continue
            normal = np.array([along[1], -along[0]]) / span
            offset = float(at[i] @ normal)
            if (at @ normal <= offset + NOTHING).all():
                out.append((normal, offset))
    return out
