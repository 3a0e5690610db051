"""What of a workpiece stands out of its outline: the crown, buttons, the lugs of a case."""

from __future__ import annotations

from manifold3d import CrossSection

from nests.holder.allowance import uncertainty
from nests.parts.site import Site
from nests.places import Side
from nests.solids.loops import loop
from nests.solids.volumes import FINE, Prism, Rod
from nests.units import Length, dial_hour


def crown(site: Site, out: Length | None = None) -> tuple[Rod, ...]:
    """The crown from the edge outward, as far as it stands out pushed home, or `out` mm."""
    stem = site.sheet.stem
    if stem is None or stem.crown is None:
        return ()
    edge = site.radius(stem.hour)
    return (
        Rod(
            "crown",
            site.frame.angle(stem.hour),
            edge,
            edge + (stem.crown.home if out is None else out),
            site.frame.z(Side.DIAL, -stem.depth),
            stem.crown.diameter,
            uncertainty(site.sheet, "/stem"),
        ),
    )


def buttons(site: Site) -> tuple[Rod, ...]:
    """The buttons of pushers that stand out of a case."""
    out = []
    for index, each in enumerate(site.sheet.pushers):
        if each.button is None:
            continue
        edge = site.radius(each.hour)
        out.append(
            Rod(
                f"button of '{each.name}'",
                site.frame.angle(each.hour),
                edge,
                edge + each.button.out,
                site.lever(each),
                each.button.diameter,
                uncertainty(site.sheet, f"/pushers/{index}"),
            )
        )
    return tuple(out)


def lugs(site: Site) -> tuple[Prism, ...]:
    """The lugs of a case outside its outline, each as a block from its lowest point to its highest;
    a lug of anything else is not looked at."""
    if site.sheet.kind != "case":
        return ()
    outline = CrossSection([loop(site.sheet.outline, site.frame, FINE, 0.0).shaft(0.0)])
    out = []
    for number, lug in enumerate(site.sheet.lugs, 1):
        low, high = site.lug_ends(lug)
        plan = site.lug_beyond(lug, outline)
        words = f"lug {number} at {dial_hour(lug.hour)} h"
        measuring = uncertainty(site.sheet, f"/lugs/{number - 1}")
        if not plan.is_empty():
            out.append(Prism(f"lug {number}", words, plan, low, high, measuring))
    return tuple(out)
