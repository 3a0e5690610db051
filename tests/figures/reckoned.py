"""What documents ought to say, reckoned anew from sheet, recipe and card.

Nothing here asks the code that prints, nor what it asks: places, heights and tolerances are written
down again from their definitions (heights of a sheet are read from the rim face of their own side,
outward; a holder with the bridge up mirrors x; a layer is cut at its middle).
"""

from __future__ import annotations

import math

import numpy as np
import trimesh

from nests.given.zones import Round
from nests.holder.recipe import Recipe
from nests.parts.ring_seat import RingSeat
from nests.parts.stake_post import StakePost
from nests.places import Side

SET_WITHIN = 0.01
"""mm ± to which a pin or screw is set by hand (physics note; from memory)."""


USUAL = {"hour hand": 20.0, "minute hand": 18.0, "chronograph seconds hand": 15.0,
         "recorder hand": 8.0, "seconds hand": 6.0}  # fmt: skip
"""N on each kind of hand where no force is stated, the seconds hand off the middle; from memory."""


def usually(carries: tuple[str, ...]) -> float:
    """N on an arbor off the middle, or on one in the middle that carries an hour hand too."""
    return max((USUAL.get(hand, 20.0) for hand in carries), default=20.0)


def mirrored(recipe: Recipe) -> float:
    """-1 where x of the holder runs against x of the dial."""
    return -1.0 if recipe.operation.side_up is Side.BRIDGE else 1.0


def clock(x: float, y: float) -> float:
    """Hour of the dial of a place seen from the dial side, above 0 up to 12."""
    hour = math.degrees(math.atan2(x, y)) / 30.0 % 12.0
    return hour if round(hour, 2) > 0.0 else 12.0


def height_down(recipe: Recipe) -> float:
    """How far the workpiece reaches below the rim face that points down."""
    sheet = recipe.workpiece
    up = recipe.operation.side_up
    return sheet.bridge_height if up is Side.DIAL else sheet.dial_height


def rim_z(recipe: Recipe) -> float:
    """Holder z of the rim face that points down: floor, room under, and what reaches down."""
    return recipe.body.floor + recipe.body.under + height_down(recipe)


def layered(z: float, layer: float) -> float:
    """Height a level face is printed to: a layer is there when the solid fills its middle."""
    whole = math.floor(z / layer + 1e-9)
    return layer * (whole + 1 if z / layer - whole > 0.5 + 1e-9 else whole)


def level_within(recipe: Recipe, z: float) -> float:
    """± of a printed level face: what rounding to layers does, and the scatter."""
    return abs(layered(z, recipe.printer.layer) - z) + recipe.printer.scatter


def post_end(recipe: Recipe, post: StakePost) -> float:
    """Holder z of the end of a post: the face it stands under, less what it is drawn short."""
    sheet, down = recipe.workpiece, recipe.operation.side_up.other
    for arbor in sheet.arbors:
        if arbor.name == post.under:
            (jewel,) = [each for each in arbor.jewels if each.side is down]
            return rim_z(recipe) - jewel.height - post.short
    (rest,) = [each for each in sheet.rests if each.name == post.under]
    return rim_z(recipe) - rest.height - post.short


def post_place(recipe: Recipe, post: StakePost) -> tuple[float, float]:
    """x and y of a post on the dial."""
    sheet = recipe.workpiece
    for arbor in sheet.arbors:
        if arbor.name == post.under:
            return arbor.at.x, arbor.at.y
    (rest,) = [each for each in sheet.rests if each.name == post.under]
    at = post.at or rest.zone.centre
    return at.x, at.y


def ledge_z(recipe: Recipe) -> float | None:
    """Holder z of the ledge; None where pads carry instead."""
    drops = [part.drop for part in recipe.parts if isinstance(part, RingSeat)]
    return rim_z(recipe) - drops[0] if drops else None


def post_gauged(recipe: Recipe, post: StakePost) -> tuple[float, str, float]:
    """How far the end of a post lies from the ledge, to which side, and ±: by hand, or as printed,
    with the roundings and the scatter of both. Above the bench where there is no ledge."""
    z, ledge, layer = post_end(recipe, post), ledge_z(recipe), recipe.printer.layer
    by_hand = post.kind in ("pin", "screw")
    if ledge is None:
        return z, "", SET_WITHIN if by_hand else level_within(recipe, z)
    rounded = abs(layered(z, layer) - z - layered(ledge, layer) + ledge)
    within = SET_WITHIN if by_hand else rounded + 2 * recipe.printer.scatter
    return abs(z - ledge), "below" if z < ledge else "above", within


def flange_out(recipe: Recipe, side: Side) -> float:
    """How far the edge stands out beyond the outline on a side: half what a ledge is wider."""
    sheet = recipe.workpiece
    ledge = sheet.casing_ledge
    if ledge is None or ledge.side is not side or not isinstance(sheet.outline, Round):
        return 0.0
    return (ledge.diameter - sheet.outline.diameter) / 2


def widths(recipe: Recipe, out: float) -> tuple[float, float]:
    """Widths in x and y of what lies `out` mm outside the outline, by its corners."""
    ring = np.asarray(recipe.site().edge().bore(0.0))
    across = np.ptp(ring, axis=0)
    return float(across[0] + 2 * out), float(across[1] + 2 * out)


def layers_of(recipe: Recipe, mesh: trimesh.Trimesh) -> int:
    """Layers of a body that lies as used: those whose middle it passes, a tie going down."""
    high = float(np.ptp(mesh.vertices[:, 2])) / recipe.printer.layer
    return math.ceil(high - 0.5 - 1e-4)


DOWN = np.array((0.0, 0.0, -1.0))


def first_below(mesh: trimesh.Trimesh, points: np.ndarray) -> np.ndarray:
    """z of the first surface below each point (n, 3), minus infinity without one."""
    hits, rays, _ = mesh.ray.intersects_location(points, np.tile(DOWN, (len(points), 1)))
    z = np.full(len(points), -np.inf)
    np.maximum.at(z, rays, np.where(hits[:, 2] < points[rays, 2], hits[:, 2], -np.inf))
    return z


def around(x: float, y: float, radius: float, z: float) -> np.ndarray:
    """Points on a circle, (72, 3)."""
    turn = np.radians(np.arange(0, 360, 5) + 2.3)
    return np.column_stack(
        (x + radius * np.cos(turn), y + radius * np.sin(turn), np.full(len(turn), z))
    )


REACH = 0.1
"""mm to either side of a point in which its surface is looked for."""
BESIDE = 2e-4
"""mm beside a point at which its surface is looked for, too."""


def surface_at(mesh: trimesh.Trimesh, point: np.ndarray, ahead: np.ndarray) -> float:
    """How far along `ahead` from a point the nearest surface lies, within `REACH`."""
    # a ray along the very edge of two triangles may miss both
    _, _, sides = np.linalg.svd(ahead[None])
    beside = np.vstack([np.zeros(3), *(each * BESIDE for each in (*sides[1:], *-sides[1:]))])
    starts = np.concatenate([point + beside - REACH * ahead, point + beside + REACH * ahead])
    ways = np.repeat([ahead, -ahead], len(beside), axis=0)
    hits, _, _ = mesh.ray.intersects_location(starts, ways)
    away = (hits - point) @ ahead
    off = np.linalg.norm(hits - point - np.outer(away, ahead), axis=1)
    away = away[(np.abs(away) <= REACH) & (off < 1e-3)]
    assert len(away), f"no surface near {point}"
    return float(away[np.argmin(np.abs(away))])
