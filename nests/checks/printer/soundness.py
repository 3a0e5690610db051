"""Soundness: is the solid closed, oriented, of positive volume, and no larger than the printer?"""

from __future__ import annotations

import numpy as np

from nests.finding import Finding, Grade
from nests.printing.pose import moved
from nests.study import Study


def check(study: Study) -> list[Finding]:
    """One finding for the mesh and one for its size."""
    mesh, card = study.mesh, study.card
    if not len(mesh.faces) or not mesh.closed() or mesh.volume() <= 0.0:
        return [
            Finding(
                check="soundness",
                grade=Grade.STOP,
                says="the solid is not closed, oriented and of positive volume.",
                remedy="change the recipe; nothing can be printed from this",
            )
        ]
    corners = moved(study.to_print, mesh.vertices)
    size = np.ptp(corners, axis=0) + (0.0, 0.0, study.pose.lift)
    flat, build = sorted(size[:2]), sorted((card.build_x, card.build_y))
    fits = flat[0] <= build[0] and flat[1] <= build[1] and size[2] <= card.build_z
    words = f"{size[0]:.1f} × {size[1]:.1f} × {size[2]:.1f} mm"
    limit = f"{card.build_x:g} × {card.build_y:g} × {card.build_z:g} mm"
    return [
        Finding(
            check="soundness",
            grade=Grade.CLEAR,
            value=mesh.volume(),
            limit=0.0,
            unit="mm³",
            says=f"closed and oriented, {len(mesh.faces)} triangles, "
            f"{mesh.volume() / 1000:.2f} ml.",
        ),
        Finding(
            check="soundness",
            grade=Grade.CLEAR if fits else Grade.STOP,
            unit="mm",
            value=float(size.max()),
            limit=max(card.build_x, card.build_y, card.build_z),
            origin=card.origin("build_x"),
            says=f"{words}; the printer builds {limit}.",
            remedy="" if fits else "a thinner wall, or a larger printer",
        ),
    ]
