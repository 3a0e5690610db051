"""Rules of support: what stands proud, what must not be touched, and what carries a press."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from nests.drawer.ruling import ruling
from nests.drawer.sitting import Bearing, Sitting
from nests.finding import Finding, Grade
from nests.given.at_work import pressed
from nests.given.operation import Operation
from nests.given.sheet import Jewel
from nests.units import BadInput, Length


def tips(at: Sitting, labels: tuple[str, ...]) -> Iterator[Finding]:
    """What stands proud, what presses where nothing may be touched, and what carries."""
    if at.seat.ledge is None and not at.on_tips:
        yield ruling(
            "support",
            Grade.STOP,
            f"the pads stand under nothing that could carry '{at.sheet.name}' in the middle.",
            "another cradle, or measure its rests",
        )
    for each in at.bearings:
        label, where = labels[each.support.part], _place(each)
        gap, within = at.gap(each), round(at.tolerance(each.support), 4)
        if gap < -within:
            yield ruling(
                "support",
                Grade.STOP,
                f"{label} stands {-gap:.2f} mm proud under {_above(each)}: the workpiece would "
                "lie on it and tilt.",
                _set_to(each, gap),
                -gap,
                within,
                label,
                place=where,
            )
        if gap <= within:
            yield from _spares_pivot(each, label, where)
            if each.jewel is None and each.over > within:
                yield ruling(
                    "support",
                    Grade.STOP,
                    f"the tip of {label} reaches {each.over:.2f} mm outside {_above(each)}.",
                    "another holder, or measure how far the rest reaches",
                    each.over,
                    within,
                    label,
                    place=where,
                )
    yield from _bare(at, labels)


def _bare(at: Sitting, labels: tuple[str, ...]) -> Iterator[Finding]:
    """Tips under nothing that may be touched must stay below the lowest part, and well so."""
    down = at.site.side_down
    lowest = at.level - at.sheet.height(down)
    for tip in at.bare:
        into, within = tip.z - lowest, round(at.tolerance(tip), 4)
        if into <= -within:
            continue
        label, seen = labels[tip.part], at.site.frame.place(tip.at)
        stands = (
            f"stands {into:.2f} mm into the height of the {down.value} side"
            if into > 0.0
            else f"ends only {-into:.2f} mm below the lowest part of the {down.value} side"
        )
        yield ruling(
            "support",
            Grade.STOP if into > 0.0 else Grade.MEND,
            f"{label} {stands} at {seen.words()}, where the sheet of '{at.sheet.name}' has no "
            "jewel and no rest.",
            "another holder; or measure a rest there, if it may be touched: place and height",
            into,
            -within,
            label,
            place=(tip.at.x, tip.at.y, tip.z),
        )


def _spares_pivot(
    each: Bearing, label: str, where: tuple[float, float, float]
) -> Iterator[Finding]:
    jewel, tip = each.jewel, each.support
    if jewel is None or not jewel.pivot_protrusion or not jewel.pivot_diameter:
        return
    beside = tip.spared - each.off - jewel.pivot_diameter / 2
    above = tip.spared_depth - jewel.pivot_protrusion
    least = min(beside, above)
    if least < 0.0:
        yield ruling(
            "support",
            Grade.STOP,
            f"{label} would press on the pivot of '{each.name}': its room is {-least:.2f} mm too "
            f"{'narrow' if beside < above else 'shallow'}.",
            "another holder",
            least,
            0.0,
            label,
            place=where,
        )


def presses(at: Sitting, operation: Operation, labels: tuple[str, ...]) -> Iterator[Finding]:
    """Is the jewel of every arbor that is pressed supported?"""
    down = at.site.side_down
    for name, force in pressed(at.sheet, operation).items():
        jewel = at.sheet.arbor(name).jewel(down)
        if jewel is None:
            yield ruling(
                "support",
                Grade.UNKNOWN,
                f"'{name}' is pressed with {force:g} N, and the sheet has no jewel for it on the "
                f"{down.value} side.",
                "measure the jewel's ⌀ and height, or those of its bush",
            )
            continue
        met = at.sheet.outermost(name, down)
        outer = met.jewel(down)
        assert outer is not None  # there is that of the arbor itself
        yield _supported(at, name, met.name, outer, force, labels)


def _supported(
    at: Sitting, name: str, met: str, jewel: Jewel, force: float, labels: tuple[str, ...]
) -> Finding:
    """Whether a post stands under the jewel that a press comes down on: of the arbor `met`, which
    is another than the pressed one where its jewel lies outermost on the same axis."""
    own = [b for b in at.bearings if b.name == met and b.jewel is not None]
    told = f"'{name}' is pressed with {force:g} N"
    whose = "its" if met == name else "that"
    if met != name:
        told += f", on the axis of '{met}', whose {jewel.word} lies over its own"
    word = jewel.word
    if not own:
        here = at.site.frame.place(at.sheet.arbor(met).at)
        tips = [*at.bare, *(b.support for b in at.bearings)]
        away = min((tip.at.distance(here) for tip in tips), default=None)
        near = (
            "the holder has no post" if away is None else f"the nearest post is {away:.2f} mm off"
        )
        return ruling(
            "support",
            Grade.STOP,
            f"{told}, and {whose} {word} is not supported: {near}.",
            "another holder for this operation",
            away,
        )
    best = min(own, key=lambda b: abs(at.gap(b)))
    gap, label = at.gap(best), labels[best.support.part]
    within = round(at.tolerance(best.support), 4)
    short = gap > within
    screw = best.support.tip == "screw"
    grade = (Grade.MEND if screw else Grade.STOP) if short else Grade.CLEAR
    return ruling(
        "support",
        grade,
        f"{told}; {label} stands under {whose} {word}, {best.off:.2f} mm beside the middle and "
        f"{abs(gap):.2f} mm {'short of' if gap > 0 else 'above'} it (± {within:.2f} mm).",
        _set_to(best, gap) if short else "",
        abs(gap),
        within,
        label,
        place=_place(best),
    )


def _set_to(each: Bearing, gap: Length) -> str:
    if each.support.tip == "screw":
        return f"set its screw {abs(gap):.2f} mm {'higher' if gap > 0 else 'lower'}"
    if each.support.tip == "pin":
        return (
            f"press its pin anew, {abs(gap):.2f} mm {'higher' if gap > 0 else 'lower'}; else "
            "another holder"
        )
    return "another holder"


def _above(each: Bearing) -> str:
    if each.jewel is None:
        return f"the rest '{each.name}'"
    return f"the {each.jewel.word} of '{each.name}'"


def _place(each: Bearing) -> tuple[float, float, float]:
    return each.support.at.x, each.support.at.y, each.support.z


def applicable(operation: Operation, at: Sitting) -> tuple[Operation, tuple[Finding, ...]]:
    """An operation as it can be done on this workpiece, and what cannot be judged of it."""
    able, left = [], []
    for press in operation.presses:
        try:
            pressed(at.sheet, replace(operation, presses=(press,)))
        except BadInput as error:
            force = "what is usual" if press.stated is None else f"{press.stated:g} N"
            told = f"presses are not assessed: {force} on '{press.arbor}', for {error}"
            remedy = "give an operation for this movement"
            left.append(ruling("support", Grade.UNKNOWN, told, remedy))
        else:
            able.append(press)
    return replace(operation, presses=tuple(able)), tuple(left)
