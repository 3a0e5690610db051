"""What the families that carry a movement have in common when they say whom they would serve."""

from __future__ import annotations

from nests.given.operation import Operation
from nests.given.sheet import Sheet
from nests.given.zones import Round
from nests.units import Length

LOW: Length = 3.0
"""mm of total height up to which a movement bends so easily that posts carry it; from memory."""


def lies_open(work: Sheet, operation: Operation) -> bool:
    """Whether it is a movement that is not turned over, and no pusher of it needs a way of its
    own."""
    beside = any(not work.through_the_crown(each) for each in work.pushers)
    reached = operation.pushers and (beside or not work.pushers)
    return work.kind == "movement" and not operation.turned_over and not reached


def is_round(work: Sheet) -> bool:
    """Whether a ring takes it."""
    return isinstance(work.outline, Round)


def is_low(work: Sheet) -> bool:
    """Whether it bends between rim and middle."""
    return work.rim + work.dial_height + work.bridge_height <= LOW
