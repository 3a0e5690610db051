"""Cards as they come from a measured printer: what our own parts do with them is never a stop."""

from __future__ import annotations

from pathlib import Path

import pytest

from nests.checks import judge
from nests.finding import Grade
from nests.given.printer_card import PrinterCard
from nests.holder.compose import compose
from nests.orders.order import order
from nests.study import Study

SHEETS = Path(__file__).parents[2] / "gallery" / "sheets"
ORDERS = {
    "round": {"options": {"diameter": 26.0, "height": 4.6}},
    "hand-setting": {"sheet": SHEETS / "inv-26-a.json", "operation": "hand-setting"},
    "cradle": {"sheet": SHEETS / "inv-tc-12.json"},
    "case": {"sheet": SHEETS / "inv-case-38.json"},
}


@pytest.mark.parametrize("overhang", [50.0, 60.0, 75.0])
@pytest.mark.parametrize("family", ORDERS)
def test_a_printer_that_prints_flatter_undersides_stops_nothing(
    family: str, overhang: float
) -> None:
    """A roof as flat as the card allows would leave its eaves open by less than any gap."""
    how = {"options": {}, **ORDERS[family]}
    card = PrinterCard(overhang=overhang)
    made = order(family, how.pop("options"), printer=card, search=False, **how)
    found = judge(Study.of(compose(made.recipe)))
    assert not [f.says for f in found if f.grade is Grade.STOP]


def test_a_printer_of_coarse_pins_gets_posts_as_stout() -> None:
    """The groove of a bore makes a ridge of the ring round it."""
    card = PrinterCard(smallest_pin=0.8)
    made = order(
        "hand-setting", {}, sheet=SHEETS / "inv-30-c.json", operation="hand-setting",
        printer=card, search=False,
    )  # fmt: skip
    found = judge(Study.of(compose(made.recipe)))
    assert not [f.says for f in found if f.grade is Grade.STOP]
