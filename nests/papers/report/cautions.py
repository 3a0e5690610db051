"""Cautions where the work can hurt someone: short, usual, and deferring to who knows better."""

from __future__ import annotations

import re

from nests.given.sheet import Sheet

FIRST = (
    "Follow the maker's data sheet, local rules and licensed practice first; these are the usual "
    "reminders."
)

RESIN = (
    "Uncured resin irritates and sensitises: nitrile or neoprene gloves (not latex), eye "
    "protection, fresh air. Cure the part fully before you touch it with bare hands.",
    "Isopropyl alcohol catches fire at room temperature (flash point 12 °C, NIOSH Pocket Guide "
    "0359): no flame or spark, lid on, air the room.",
    "UV lamp of the curing box and of the printer: never look into it, close the lid before it is "
    "lit, keep bare skin out of it (IEC 62471, from memory).",
    "Dust of cured resin: sand, drill and tap wet, or with suction and a dust mask (common "
    "practice, no source); do not blow it off.",
    "Waste of resin and alcohol: nothing down the drain. Let rests of resin, and what was wiped "
    "with it, cure in the light, keep used alcohol in a closed and named can, and hand both in as "
    "local rules say.",
)
"""Where something is printed."""
BENCH = (
    "Old luminous paint may be radioactive: do not open, scrape or blow on it; ask your radiation "
    "authority.",
    "A wound mainspring flies: let it down before you take a movement apart.",
    "Sharp tools: press away from your hand.",
    "At the press: eye protection. A jewel, pin or spring that slips flies, and hard steel may "
    "splinter (common practice, no source).",
)
CELL = "Lithium cells in quartz movements: take them out first, never bridge their poles"
CELLS = re.compile(r"\b(cells?|batter(y|ies))\b", re.IGNORECASE)
"""What a keep-clear that is a cell is called."""
CASTING = (
    "Casting compounds: gloves and fresh air as their data sheet says. Some never set against "
    "printed resin: try a drop on a scrap first.",
)
"""Common practice, no source."""
UNPROVED = (
    "A holder that has not been measured after printing is not proved: fill in the acceptance list "
    "before a movement goes in."
)


def bench(sheet: Sheet) -> tuple[str, ...]:
    """Cautions at the bench; that of cells names the sheet's own, and what stays in with them."""
    named = [
        f"'{each.name}' on the {each.side.value} side"
        for each in sheet.keep_clear
        if CELLS.search(each.name)
    ]
    own = ""
    if named:
        own = (
            f"; here {' and '.join(named)}. While it is fitted nothing of metal may touch both "
            "poles, neither pin nor screw nor tweezers"
        )
    return (*BENCH, f"{CELL}{own}.")
