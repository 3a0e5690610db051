"""Choosing: of the holders a family may write, the best by the very functions that judge.

A family writes the recipe it prefers. Where that is refused, or a check would stop it or have it
changed, what nobody asked for is varied: first the parts that a finding blames, each of which says
what else it might be (`Part.variants`), then the options that a family's `Wish` says may vary
(`Wish.varies`). Of all that was tried the first without a stop and a mend is taken, else the best.
What still stops then lies with the movement, the press or the printer; `facts` finds which fact
would have to be another, by trying it.
"""

from nests.choosing.facts import Case, Fact, NoHolder
from nests.choosing.search import Choice, NotFound, Say, choose, counted, in_the_way, judged, silent

__all__ = [
    "Case", "Choice", "Fact", "NoHolder", "NotFound", "Say", "choose", "counted", "in_the_way",
    "judged", "silent",
]  # fmt: skip
