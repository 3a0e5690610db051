"""The cut through movement and holder along an hour, with the press as arrows, on the paper.

It has the scale of the plan, and its axis stands under the plan's middle.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from nests.faces.page.plan import REACH
from nests.given.sheet import Sheet
from nests.orders import shown, shown_plan
from nests.orders.shown import Piece
from nests.orders.trying import Trial
from nests.places import Side
from nests.units import Hour

NEAR = 0.8
"""mm off the plane up to which a press is drawn in it."""


def cut(trial: Trial, sheet: Sheet, laid: Sequence[Piece], hour: Hour) -> dict[str, Any]:
    """All that the cut shows."""
    scale = REACH / (shown_plan.reaches(sheet) + trial.recipe.body.wall + 0.4)
    holder, site = trial.holder, trial.recipe.site()
    cuts = shown.section(holder, laid, hour)
    high = max((y for each in cuts for line in each.loops for _, y in line), default=10.0)
    arrows = []
    for name, force in trial.presses().items():
        arbor = trial.recipe.workpiece.arbor(name)
        x, off = shown.along(holder, hour, arbor.at)
        if abs(off) < NEAR:
            top = site.frame.z(site.side_up, trial.recipe.workpiece.height(site.side_up))
            arrows.append({"name": name, "force": f"{force:g}", "x": x * scale,
                           "y": -max(top, high) * scale})  # fmt: skip
    return {
        "hour": hour, "arrows": arrows, "floor": 0.0, "high": -high * scale,
        "cuts": [
            {"name": c.name, "kind": c.kind,
             "path": " ".join("M" + "L".join(f"{x * scale:.2f} {-y * scale:.2f}" for x, y in line)
                              + "Z" for line in c.loops)}
            for c in cuts
        ],
        "left": _hour_left(hour), "up": site.side_up.value,
    }  # fmt: skip


def _hour_left(hour: Hour) -> Hour:
    return (hour + 6.0) % 12.0


def best_hour(trial: Trial) -> Hour:
    """The hour to cut at where none is asked for: through the pressed arbor farthest out, else
    through the post farthest out."""
    work = trial.recipe.workpiece
    pressed = [work.arbor(name).at for name in trial.presses()]
    places = [at for at in pressed if at.radius > 1.0] or [
        post.at for post in trial.posts() if post.at.radius > 1.0
    ]
    far = max(places, key=lambda at: at.radius, default=None)
    return 3.0 if far is None else round(far.hour, 2)


def side_of(text: str) -> Side:
    """A side as it stands in an address; the dial side for anything else."""
    return Side.BRIDGE if text == Side.BRIDGE.value else Side.DIAL
