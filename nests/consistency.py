"""Consistency: does a sheet agree with itself?

What is wrong is a `stop`; what is only missing is `unknown`, with the fact to measure.
"""

from __future__ import annotations

from collections.abc import Iterator

from manifold3d import CrossSection

from nests.finding import Finding, Grade
from nests.operation import EVERY
from nests.parts.base import Site
from nests.parts.body import Body
from nests.places import Place, Side
from nests.printer_card import PrinterCard
from nests.sheet import Rest, Sheet
from nests.solid import area
from nests.units import BadInput
from nests.zones import Path, Polygon, Ring, Round, Sector, Zone


def check_sheet(sheet: Sheet) -> list[Finding]:
    """Findings about a sheet and its sub-assemblies. Raises nothing."""
    out = list(_outline(sheet))
    site = Site(sheet, Side.DIAL, PrinterCard(), 0.01, Body())
    if not out and isinstance(sheet.outline, Path):
        out += _course(sheet, site)
    if not out:
        plan = CrossSection([site.edge().bore(0.02)])
        out += [*_zones(sheet), *_names(sheet), *_arbors(sheet, plan), *_pointers(sheet)]
        if not any(f.grade is Grade.STOP for f in out):
            out += [*_rests(sheet, site, plan), *_reach(sheet, site)]
    for sub in sheet.sub_assemblies:
        out += check_sheet(sub)
    if not out:
        out.append(
            Finding(
                check="consistency",
                grade=Grade.CLEAR,
                says=f"{sheet.name}: the sheet agrees with itself.",
            )
        )
    return out


def require_consistent(sheet: Sheet) -> None:
    """Raise `BadInput` with the first contradiction on a sheet, if it has one."""
    for finding in check_sheet(sheet):
        if finding.grade is Grade.STOP:
            raise BadInput(finding.says)


def _stop(sheet: Sheet, says: str, remedy: str = "measure again") -> Finding:
    return Finding(
        check="consistency", grade=Grade.STOP, says=f"{sheet.name}: {says}", remedy=remedy
    )


def _unknown(sheet: Sheet, says: str, remedy: str) -> Finding:
    return Finding(
        check="consistency", grade=Grade.UNKNOWN, says=f"{sheet.name}: {says}", remedy=remedy
    )


def _outline(sheet: Sheet) -> Iterator[Finding]:
    ledge, outline = sheet.casing_ledge, sheet.outline
    if isinstance(outline, Path):
        yield from _path(sheet, outline)
    if ledge is not None and isinstance(outline, Round) and ledge.diameter < outline.diameter:
        yield _stop(
            sheet,
            f"casing_ledge.diameter is {ledge.diameter:g} mm; it must be at least the "
            f"outline's {outline.diameter:g} mm.",
        )
    if ledge is not None and ledge.height >= sheet.rim:
        yield _stop(
            sheet,
            f"casing_ledge.height is {ledge.height:g} mm; it must be less than the "
            f"rim's {sheet.rim:g} mm.",
        )


def _path(sheet: Sheet, path: Path) -> Iterator[Finding]:
    if len(path.corners) < 2:
        yield _stop(
            sheet, f"outline.corners has {len(path.corners)} corners; at least 2 are needed."
        )
        return
    for index, corner in enumerate(path.corners):
        following = path.corners[(index + 1) % len(path.corners)]
        span = corner.at.distance(following.at)
        if span < 1e-3:
            yield _stop(sheet, f"outline.corners[{index}] and the next lie on one place.")
        if corner.radius is not None and 2 * corner.radius < span:
            yield _stop(
                sheet,
                f"outline.corners[{index}].radius is {corner.radius:g} mm; to reach the "
                f"next corner {span / 2:.3f} mm or more are needed.",
            )
    if len(path.corners) == 2 and not all(c.radius for c in path.corners):
        yield _stop(sheet, "outline.corners has 2 corners joined by lines; they enclose nothing.")


def _course(sheet: Sheet, site: Site) -> Iterator[Finding]:
    """A path must not meet itself, and every hour is read from an axis inside it."""
    import shapely

    try:
        edge = site.edge().bore(0.0)
    except BadInput as bad:
        yield _stop(sheet, str(bad))
        return
    if not shapely.LinearRing(edge).is_simple:
        yield _stop(sheet, "outline.corners make an edge that crosses or touches itself.")
    elif not shapely.Polygon(edge).contains(shapely.Point(0.0, 0.0)):
        yield _stop(
            sheet,
            "outline.corners do not go round the axis, x 0, y 0; places are read from it.",
            "measure from the middle of the outline",
        )


def _zones(sheet: Sheet) -> Iterator[Finding]:
    if sheet.keep_clear and sheet.nothing_fragile:
        yield _stop(
            sheet,
            f"nothing_fragile is true, yet {len(sheet.keep_clear)} keep-clears are named; "
            "only one of the two can hold.",
            "take one of them away",
        )
    named: list[tuple[str, Zone]] = [(f"rest '{r.name}'", r.zone) for r in sheet.rests]
    named += [(f"keep-clear '{k.name}'", k.zone) for k in sheet.keep_clear]
    for name, zone in named:
        if isinstance(zone, Ring | Sector) and zone.inner >= zone.outer:
            yield _stop(
                sheet,
                f"{name}: inner is {zone.inner:g} mm; it must be less than outer, "
                f"{zone.outer:g} mm.",
            )
        if isinstance(zone, Polygon) and len(zone.corners) < 3:
            yield _stop(sheet, f"{name} has {len(zone.corners)} corners; at least 3 are needed.")
    for keep in sheet.keep_clear:
        if keep.from_height >= keep.to_height:
            yield _stop(
                sheet,
                f"keep-clear '{keep.name}': from_height is {keep.from_height:g} mm; it "
                f"must be less than to_height, {keep.to_height:g} mm.",
            )
        if keep.to_height > sheet.height(keep.side) + 1e-9:
            yield _stop(
                sheet,
                f"keep-clear '{keep.name}': to_height is {keep.to_height:g} mm; the "
                f"{keep.side.value} side is {sheet.height(keep.side):g} mm high.",
            )


def _names(sheet: Sheet) -> Iterator[Finding]:
    groups = {
        "arbors": sheet.arbors,
        "rests": sheet.rests,
        "keep_clear": sheet.keep_clear,
        "pushers": sheet.pushers,
        "sub_assemblies": sheet.sub_assemblies,
    }
    for field, items in groups.items():
        names = [each.name for each in items]  # type: ignore[attr-defined]
        for name in sorted({n for n in names if names.count(n) > 1}):
            yield _stop(sheet, f"{field} holds '{name}' twice; names are unique.", "rename one")
    if any(each.name == EVERY for each in sheet.arbors):
        yield _stop(
            sheet, f"an arbor is named '{EVERY}', which says of a press that it is on all hands.",
            "rename it",
        )  # fmt: skip
    both = {a.name for a in sheet.arbors} & {r.name for r in sheet.rests}
    for name in sorted(both):
        yield _stop(sheet, f"'{name}' names an arbor and a rest; names are unique.", "rename one")


def _arbors(sheet: Sheet, plan: CrossSection) -> Iterator[Finding]:
    for arbor in sheet.arbors:
        if _beyond(arbor.at, plan):
            yield _stop(
                sheet, f"the arbor '{arbor.name}' at {arbor.at.words()} lies outside the outline."
            )
        for jewel in arbor.jewels:
            if jewel.height > sheet.height(jewel.side) + 1e-9:
                yield _stop(
                    sheet,
                    f"the jewel of '{arbor.name}' is {jewel.height:g} mm above the rim "
                    f"face; the {jewel.side.value} side is {sheet.height(jewel.side):g} mm "
                    "high.",
                )
            if jewel.pivot_diameter >= jewel.diameter:
                yield _stop(
                    sheet,
                    f"the pivot of '{arbor.name}' is {jewel.pivot_diameter:g} mm thick; "
                    f"its jewel is {jewel.diameter:g} mm.",
                )
        if len({j.side for j in arbor.jewels}) < len(arbor.jewels):
            yield _stop(sheet, f"the arbor '{arbor.name}' has two jewels on one side.")
        if arbor.carries and arbor.jewel(Side.BRIDGE) is None:
            yield _unknown(
                sheet,
                f"not assessed: the arbor '{arbor.name}' takes a hand, and no jewel "
                "is given for it on the bridge side.",
                "measure the jewel's ⌀ and the height of its face above the rim face",
            )
    for foot in sheet.dial_feet:
        if _beyond(foot.at, plan):
            yield _stop(sheet, f"a dial foot at {foot.at.words()} lies outside the outline.")


def _beyond(place: Place, plan: CrossSection) -> bool:
    dot = CrossSection.circle(0.01, 8).translate((place.x, place.y))
    return not (dot - plan).is_empty()


def _pointers(sheet: Sheet) -> Iterator[Finding]:
    from nests.schema import plain

    for pointer, value in sheet.uncertainties.items():
        at: object = plain(sheet)
        for step in pointer.split("/")[1:]:
            step = step.replace("~1", "/").replace("~0", "~")
            if isinstance(at, list):
                at = at[int(step)] if step.isdigit() and int(step) < len(at) else None
            else:
                at = at.get(step) if isinstance(at, dict) else None
        if not isinstance(at, int | float) or not pointer.startswith("/"):
            yield _stop(
                sheet,
                f"uncertainties: '{pointer}' points at no number of the sheet.",
                "write it as /outline/diameter",
            )
        if not 0.0 <= value <= 1.0:
            yield _stop(sheet, f"uncertainties: '{pointer}' is {value:g} mm; allowed is 0 to 1 mm.")


def _rests(sheet: Sheet, site: Site, plan: CrossSection) -> Iterator[Finding]:
    flange = max(site.sheet.edge(side)[0] for side in Side)
    wide = plan.offset(flange + 0.01, circular_segments=128)
    for rest in sheet.rests:
        here = area(rest.zone, site.frame, 0.01)
        if here.is_empty():
            yield _stop(sheet, f"the rest '{rest.name}' has no area.")
        elif (here - wide).area() > 1e-3:
            yield _stop(sheet, f"the rest '{rest.name}' lies outside the outline.")
        for keep in sheet.keep_clear:
            yield from _rest_in_keep_clear(sheet, site, rest, here, keep.name)
    if not sheet.rests:
        yield _unknown(
            sheet,
            "not assessed: no rest on the sheet, so only the rim may be touched.",
            "name areas that may be touched, with side and height",
        )


def _rest_in_keep_clear(
    sheet: Sheet, site: Site, rest: Rest, here: CrossSection, name: str
) -> Iterator[Finding]:
    keep = next(k for k in sheet.keep_clear if k.name == name)
    z = site.frame.z(rest.side, rest.height)
    ends = sorted(
        (site.frame.z(keep.side, keep.from_height), site.frame.z(keep.side, keep.to_height))
    )
    if not ends[0] - 1e-9 < z < ends[1] + 1e-9:
        return
    both = (here ^ area(keep.zone, site.frame, 0.01)).area()
    if both > 0.9 * here.area():
        yield _stop(
            sheet,
            f"the rest '{rest.name}' lies inside the keep-clear '{name}'.",
            "one of the two is wrong",
        )
    elif both > 1e-3:
        yield Finding(
            check="consistency",
            grade=Grade.MEND,
            value=both,
            limit=0.0,
            unit="mm²",
            says=f"{sheet.name}: the rest '{rest.name}' and the keep-clear '{name}' share "
            f"{both:.2f} mm².",
            remedy="draw the rest smaller",
        )


def _reach(sheet: Sheet, site: Site) -> Iterator[Finding]:
    if sheet.stem is not None and not -0.5 <= sheet.stem.depth <= sheet.rim + 0.5:
        yield _stop(
            sheet,
            f"stem.depth is {sheet.stem.depth:g} mm; the stem leaves through the rim, "
            f"0 to {sheet.rim:g} mm.",
        )
    for pusher in sheet.pushers:
        edge = site.radius(pusher.hour)
        if pusher.lever_radius > edge + 2.0:
            yield _stop(
                sheet,
                f"the lever of the pusher '{pusher.name}' is met at "
                f"{pusher.lever_radius:g} mm; the edge lies at {edge:.2f} mm there.",
            )
        if not -0.5 <= pusher.depth <= sheet.rim + 0.5:
            yield _stop(
                sheet,
                f"the lever of the pusher '{pusher.name}' lies {pusher.depth:g} mm below "
                f"the dial-side rim face; the rim is {sheet.rim:g} mm high.",
            )
