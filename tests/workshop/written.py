"""Recipes and findings of movements nobody tuned, line by line, to compare two Pythons:

    python tests/workshop/written.py FIRST COUNT > FILE

`WHOLE=1 .ci/pythons` does so.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from movements import movement
from orders import orders

from nests.choosing import choose
from nests.given.printer_card import PrinterCard
from nests.kinds import document
from nests.orders.pack import findings_document
from nests.units import BadInput


def main() -> None:
    """Print them."""
    first, count = map(int, sys.argv[1:])
    for seed in range(first, first + count):
        sheet = movement(seed)
        for each in orders(sheet):
            try:
                best = choose(
                    each.family, sheet, each.operation, each.options, PrinterCard(), explain=False
                )
                made = [document(best.recipe), findings_document(each.words, best.findings)]
            except BadInput as refused:
                made = [{"refused": str(refused)}]
            print(seed, each.words, json.dumps(made, ensure_ascii=True))


if __name__ == "__main__":
    main()
