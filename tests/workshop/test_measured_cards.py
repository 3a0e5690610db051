"""A printer that was measured makes no holder worse: what its bias takes, the families leave.

Clearance counts with the bias, its change with the ⌀ and how well both are known; what is drawn
has to count with the same.
"""

from __future__ import annotations

from typing import Any

import pytest
from movements import movement
from orders import Order, orders

from nests.choosing import choose
from nests.finding import Grade, worst
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.units import BadInput

GRAVITY = {None: 3, Grade.STOP: 2, Grade.MEND: 1, Grade.UNKNOWN: 0, Grade.CLEAR: 0}
KNOWN = {
    "inside_bias": 0.014, "inside_bias_slope": 0.0007,
    "outside_bias": 0.014, "outside_bias_slope": 0.0009,
    "height_bias": 0.012, "height_bias_slope": 0.0015, "scatter": 0.003,
}  # fmt: skip


def measured(side: int) -> PrinterCard:
    """A card as the gauge plate gives it (see tests/gauge): bores too narrow and pins too wide, the
    scale to one side or the other."""
    return PrinterCard(
        scatter=0.024,
        inside_bias=-0.08, inside_bias_slope=0.001 * side,
        outside_bias=0.06, outside_bias_slope=-0.001 * side,
        height_bias=0.03, height_bias_slope=0.004 * side,
        uncertainties=KNOWN,
        correlations={"inside_bias": -0.7, "outside_bias": -0.7, "height_bias": -0.8},
    )  # fmt: skip


def grade(order: Order, sheet: Sheet, card: PrinterCard) -> tuple[Grade | None, Any]:
    try:
        best = choose(order.family, sheet, order.operation, order.options, card, explain=False)
    except BadInput as error:
        return None, str(error)
    return worst(best.findings), [f.says for f in best.findings if f.grade is not Grade.CLEAR]


@pytest.mark.slow
@pytest.mark.parametrize("seed", [541, 547, 549])
@pytest.mark.parametrize("side", [1, -1])
def test_no_holder_is_worse_for_a_printer_that_was_measured(seed: int, side: int) -> None:
    sheet = movement(seed)
    seen = 0
    for each in orders(sheet):
        if each.family in ("round", "inspection", "hand-setting", "shaped"):
            (before, _), (now, says) = (
                grade(each, sheet, card) for card in (PrinterCard(), measured(side))
            )
            assert GRAVITY[now] <= GRAVITY[before], (each.words, says)
            seen += 1
    assert seen >= 4
