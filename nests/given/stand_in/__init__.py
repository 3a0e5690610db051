"""Stand-ins: a sheet made from the few sizes a person knows, for a holder without a sheet.

What such a sheet had to assume, or knows nothing of, it says under `Sheet.assumed`; checks call it
`unknown`, each with what to measure. No arbor is known, so nothing may be pressed.
"""

from nests.given.stand_in.lying import Notch, WithEdge
from nests.given.stand_in.sizes import BySizes, require_no_press, stand_in
from nests.given.stand_in.working import (
    HourDepth,
    WithLevers,
    WithPushers,
    pusher_name,
    with_pusher,
)

__all__ = [
    "BySizes",
    "HourDepth",
    "Notch",
    "WithEdge",
    "WithLevers",
    "WithPushers",
    "pusher_name",
    "require_no_press",
    "stand_in",
    "with_pusher",
]
