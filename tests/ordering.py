"""An order without the search: for whoever needs a recipe and not the best one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nests.orders.order import Order, order


def preferred(family: str, options: Mapping[str, Any], **asked: Any) -> Order:
    """`order` with the preferred of everything that may vary, for `asked` as that takes it."""
    return order(family, options, search=False, **asked)
