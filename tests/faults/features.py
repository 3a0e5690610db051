"""Features that are faults on one side of a limit and sound on the other; lengths in mm.

Each is drawn in the frame of `planting.Ground` (z = 0 is the upper face) and says where it is.
"""

from __future__ import annotations

import math

import numpy as np
from manifold3d import Manifold
from planting import SUNK, Box, Feature, Ring, box, extruded, revolved, rod


def fin(thick: float) -> Feature:
    """A fin standing on the face."""
    adds = box((-thick / 2, thick / 2), (-2.0, 2.0), (-SUNK, 2.0))
    return Feature(Box((-thick / 2, -2.0, 0.0), (thick / 2, 2.0, 2.0)), adds=adds)


def web(thick: float) -> Feature:
    """A web left between two small pockets in the face."""
    half, deep = thick / 2, 1.2
    cuts = box((half, half + 1.2), (-0.8, 0.8), (-deep, 1.0))
    cuts += box((-half - 1.2, -half), (-0.8, 0.8), (-deep, 1.0))
    return Feature(Box((-half, -0.8, -deep), (half, 0.8, 0.0)), cuts=cuts)


def skin(thick: float, height: float) -> Feature:
    """The floor of a shaft that stops short of the plate, `height` below the face."""
    cuts = box((-0.35, 0.35), (-0.35, 0.35), (-height + thick, 1.0))
    place = Box((-0.35, -0.35, -height), (0.35, 0.35, -height + thick))
    return Feature(place, cuts=cuts)


def posts(wide: float) -> Feature:
    """Two posts side by side on the face."""
    half = wide / 2
    adds = box((half, half + 1.2), (-1.0, 1.0), (-SUNK, 1.5))
    adds += box((-half - 1.2, -half), (-1.0, 1.0), (-SUNK, 1.5))
    return Feature(Box((-half, -1.0, 0.0), (half, 1.0, 1.5)), adds=adds)


def slot(wide: float, out: float) -> Feature:
    """A slot in the face, open at its end `out` mm away in the outer face."""
    cuts = box((-0.5, out + 1.0), (-wide / 2, wide / 2), (-1.5, 1.0))
    return Feature(Box((-0.5, -wide / 2, -1.5), (out, wide / 2, 0.0)), cuts=cuts)


def lying_slit(high: float, out: float) -> Feature:
    """A level slit 0.4 deep in the outer face, which lies `out` mm away."""
    cuts = box((out - 0.4, out + 1.0), (-1.0, 1.0), (-1.5 - high / 2, -1.5 + high / 2))
    place = Box((out - 0.4, -1.0, -1.5 - high / 2), (out, 1.0, -1.5 + high / 2))
    return Feature(place, cuts=cuts)


def bracket(long: float) -> Feature:
    """A level arm on a post."""
    adds = box((-1.5, 0.0), (-1.0, 1.0), (-SUNK, 2.0))
    adds += box((-0.1, long), (-1.0, 1.0), (1.0, 2.0))
    return Feature(Box((0.0, -1.0, 1.0), (long, 1.0, 1.0)), adds=adds)


def bridge(clear: float) -> Feature:
    """A level beam between two posts."""
    half = clear / 2
    adds = box((-half - 0.8, half + 0.8), (-0.6, 0.6), (-SUNK, 2.0))
    adds -= box((-half, half), (-1.0, 1.0), (0.0, 1.0))
    return Feature(Box((-half, -0.6, 1.0), (half, 0.6, 1.0)), adds=adds)


def mushroom(beyond: float) -> Feature:
    """A round cap standing out all round its stem, level underneath."""
    adds = rod(1.6, -SUNK, 2.0) + rod(1.6 + 2 * beyond, 1.0, 2.0)
    return Feature(Ring(0.8, 0.8 + beyond, 1.0, 1.0), adds=adds)


def flare(lean: float, run: float) -> Feature:
    """A stem that opens upward, its side `lean` degrees from upright over a level `run`."""
    rise = run / math.tan(math.radians(lean))
    far = 0.8 + run
    adds = revolved([(0.8, -SUNK), (0.8, 0.5), (far, 0.5 + rise), (far, 1.3 + rise)])
    return Feature(Ring(0.8, 0.8 + run, 0.5, 0.5 + rise), adds=adds)


def ramp(lean: float, run: float) -> Feature:
    """A corbel to one side, its underside `lean` degrees from upright over a level `run`."""
    rise = run / math.tan(math.radians(lean))
    profile = [(-1.5, -SUNK), (0.0, -SUNK), (0.0, 0.5), (run, 0.5 + rise), (run, 1.5 + rise)]
    adds = extruded([*profile, (-1.5, 1.5 + rise)], 2.0)
    return Feature(Box((0.0, -1.0, 0.5), (run, 1.0, 0.5 + rise)), adds=adds)


def _corbel() -> Manifold:
    """A post whose head stands out 2.4 at 45° to one side, its end 2.9 above the face."""
    profile = [(-1.5, -SUNK), (0.0, -SUNK), (0.0, 0.5), (2.4, 2.9), (2.4, 3.7), (-1.5, 3.7)]
    return extruded(profile, 2.0)


def hanging(long: float, across: float = 0.8) -> Feature:
    """A pin hanging `long` below a corbel of 45°, its axis 1.6 from the post.

    The corbel's underside is 0.5 + x above the face, so 2.1 on the axis of the pin and
    `across`/2 lower on its inner side; `long` is counted from there.
    """
    tip = 2.1 - across / 2 - long
    adds = _corbel() + rod(across, tip, 3.0).translate((1.6, 0.0, 0.0))
    half = across / 2
    return Feature(Box((1.6 - half, -half, tip), (1.6 + half, half, tip)), adds=adds)


def standing() -> Feature:
    """The pin of `hanging`, reaching down to the face: no island."""
    adds = _corbel() + rod(0.8, -SUNK, 3.0).translate((1.6, 0.0, 0.0))
    return Feature(Box((1.2, -0.4, 0.0), (2.0, 0.4, 0.0)), adds=adds)


def afloat(across: float) -> Feature:
    """A cube above the face that touches nothing."""
    half = across / 2
    adds = box((-half, half), (-half, half), (1.0, 1.0 + across))
    return Feature(Box((-half, -half, 1.0), (half, half, 1.0)), adds=adds)


def pocket(volume: float, deep: float = 2.5) -> Feature:
    """A square pocket of a volume in mm³ in the face, open to the film, without a vent."""
    half = math.sqrt(volume / deep) / 2
    cuts = box((-half, half), (-half, half), (-deep, 1.0))
    return Feature(Box((-half, -half, -deep), (half, half, 0.0)), cuts=cuts)


def vented_pocket(volume: float, out: float, vent: float, deep: float = 2.5) -> Feature:
    """The pocket with a slit 1 wide through the outer face, from `vent` above its floor up."""
    bare = pocket(volume, deep)
    assert bare.cuts is not None
    cuts = bare.cuts + box((0.0, out + 1.0), (-0.5, 0.5), (-deep + vent, 1.0))
    return Feature(bare.place, cuts=cuts)


def bubble(side: float, deep: float) -> Feature:
    """A closed cube in the body, its roof `deep` below the face."""
    half = side / 2
    cuts = box((-half, half), (-half, half), (-deep - side, -deep))
    return Feature(Box((-half, -half, -deep - side), (half, half, -deep)), cuts=cuts)


def round_bubble(across: float, deep: float) -> Feature:
    """A closed double cone of 45° in the body, its upper point `deep` below the face."""
    half = across / 2
    cuts = revolved([(0.0, -deep - across), (half, -deep - half), (0.0, -deep)])
    place = Box((-half, -half, -deep - across), (half, half, -deep))
    return Feature(place, cuts=cuts)


def under(volume: float, height: float, roof: float = 0.8) -> Feature:
    """A square recess `roof` high in the foot, `height` below the face: the plate closes it."""
    half = math.sqrt(volume / roof) / 2
    cuts = box((-half, half), (-half, half), (-height - 1.0, -height + roof))
    place = Box((-half, -half, -height), (half, half, -height + roof))
    return Feature(place, cuts=cuts)


def bottle(neck: float) -> Feature:
    """A room of ⌀ 1.8 in the body with 45° shoulders that drains up through a narrow neck."""
    half, rise = neck / 2, 0.9 - neck / 2
    cuts = revolved([(0.9, -2.0), (0.9, -0.6 - rise), (half, -0.6), (half, 1.0)])
    return Feature(Box((-0.9, -0.9, -2.0), (0.9, 0.9, 0.0)), cuts=cuts)


def pin(across: float) -> Feature:
    """A round pin standing on the face."""
    half = across / 2
    place = Box((-half, -half, 0.0), (half, half, 1.5))
    return Feature(place, adds=rod(across, -SUNK, 1.5))


def hole(across: float) -> Feature:
    """A blind upright bore in the face."""
    half = across / 2
    return Feature(Box((-half, -half, -1.5), (half, half, 0.0)), cuts=rod(across, -1.5, 1.0))


def through_hole(across: float, height: float) -> Feature:
    """An upright bore from the face, `height` above the plate, to the plate."""
    half = across / 2
    place = Box((-half, -half, -height), (half, half, 0.0))
    return Feature(place, cuts=rod(across, -height - 1.0, 1.0))


def stepped(area: float, high: float) -> tuple[Manifold, Box]:
    """A square plate of an area, from the plate up, with a smaller block on it."""
    half = math.sqrt(area) / 2
    foot = half - 0.5
    corners = np.array(
        [
            (sx * c, sy * c, z)
            for c, z in ((foot, 0.0), (half, 0.5))
            for sx in (-1, 1)
            for sy in (-1, 1)
        ]
    )
    upper = box((-half, half), (-half, half), (0.5, high))
    solid = Manifold.hull_points(corners) + upper
    solid += box((-half / 2, half / 2), (-half / 2, half / 2), (high - SUNK, 2 * high))
    return solid, Box((-half, -half, 0.0), (half, half, high))
