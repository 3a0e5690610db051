"""How far workpiece and print may be off, from the seat as it is measured on the solid."""

from __future__ import annotations

from nests.holder.workpiece import Allowance, allowance
from nests.parts.site import Site
from nests.study import Study


def seated(study: Study, site: Site) -> Allowance:
    """Allowance beside the seat of the workpiece; without a seat nothing is said of its play."""
    found = study.fitted
    return allowance(site, found[0].printed if found else 0.0)
