"""What of a printer card a gauge plate cannot tell, and why; it stays as it is on the card."""

from __future__ import annotations

NOT_READ: dict[tuple[str, ...], str] = {
    ("pixel", "layer", "build_x", "build_y", "build_z"): (
        "settings of the printer, and what its maker states; nothing of them is left on a print"
    ),
    ("modulus", "poisson", "strain_limit"): (
        "a load and the way it bends a bar must be read together, which needs a bench for it"
    ),
    ("creep_factor",): "it shows in a bar that stays bent for a thousand hours",
    ("friction",): "it depends on the metal that lies on the print, and needs a tilted plane",
    ("density",): "it needs scales that tell 0.01 g, and a body without pores",
    ("layer_time", "resin_price", "currency", "resin_left"): (
        "these are of the print job and of the bottle, not of the plate"
    ),
}
"""Fields of the card, and the reason."""


def not_read() -> tuple[str, ...]:
    """A sentence for each reason."""
    return tuple(
        f"not read: {', '.join(names)}; {why}; kept from the card."
        for names, why in NOT_READ.items()
    )
