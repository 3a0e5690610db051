"""Load path: a press must not move a jewel in its hole by more than its endshake may change.

Every press of the operation is followed by itself, at its hardest, from the pivot's shoulder
through the jewel's friction fit into plate or bridges, or straight into the post under the jewel.
A bush has no fit: the stock itself takes the press, and the post catches the stock.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nests.finding import Finding, Grade
from nests.holder.compose import Holder
from nests.holder.recipe import MOULD
from nests.load_path.loads import Load, presses
from nests.parts.site import Site
from nests.study import Point, Study
from nests.units import BadInput, Length

if TYPE_CHECKING:
    from nests.load_path.paths import PressPath
    from nests.load_path.supports import Prop

GIVES: Length = 0.1
"""mm that plate or bridges give under a press without staying bent; from memory."""


def check(study: Study) -> list[Finding]:
    """One finding for each press; none for a holder in which nothing is pressed."""
    holder = study.holder
    if holder is None or holder.recipe.kind == MOULD:
        return []
    site = holder.recipe.site()
    loads = presses(site, holder.recipe.operation)
    if not loads:
        return []
    down = site.side_down
    bare = [each for each in loads if site.sheet.arbor(each.arbor).jewel(down) is None]
    out = [_no_jewel(each, site) for each in bare]
    try:
        out += [_judged(path, holder, site) for path in study.press_paths]
    except BadInput as unknown:
        out += [_no_plate(each, holder, site, str(unknown)) for each in loads if each not in bare]
    return out


def _judged(path: PressPath, holder: Holder, site: Site) -> Finding:
    from nests.load_path.setting import LIFT, OFTEN, holds
    from nests.load_path.words import (
        assumption,
        axis_words,
        gap_words,
        jewel_words,
        pushed_words,
        shares_words,
    )

    known, post = path.known, path.known.post
    allowed, safe = known.arbor.endshake_change, holds(path)
    pushed = path.pushed
    if (path.pressed is not None and not path.safe_as_drawn) or pushed is not None:
        grade = Grade.STOP
    elif path.pressed is None and not safe:  # only bounds are known
        grade = Grade.UNKNOWN
    else:
        grade = Grade.CLEAR if safe and (post is None or post.drawn >= -LIFT) else Grade.MEND
    says = f"pressing on '{known.arbor.name}' with {known.force:g} N: "
    if path.path.tips:
        says += "the movement tips over what it lies on."
    else:
        axis = axis_words(path)
        says += f"{axis}. Of its own fit: " if axis else ""
        says += f"{jewel_words(path)}. {shares_words(path, site)}{gap_words(path)}."
        says += f" But {pushed_words(pushed)}." if pushed is not None else ""
    finite = math.isfinite(path.worst_slide)
    remedy = "" if grade is Grade.CLEAR else _remedy(path, holder, site)
    if pushed is not None and math.isfinite(pushed.slide):
        return Finding(
            check="load path", grade=grade, says=says, parts=(pushed.label,),
            value=round(1000 * pushed.slide, 2), limit=1000 * pushed.arbor.endshake_change,
            unit="µm", origin=assumption(site), place=_place(pushed.arbor.name, site),
            remedy=pushed.push_out.remedy or remedy,
        )  # fmt: skip
    outer = path.most_through(known.over) if known.over is not None else None
    bears = post.label if post is not None else outer.label if outer is not None else ""
    return Finding(
        check="load path",
        grade=grade,
        says=says,
        parts=(bears,) if bears else _carriers(holder),
        value=round(1000 * path.worst_slide, 2) if finite else known.force,
        limit=1000 * allowed if finite else known.push_out.force,
        unit="µm" if finite else "N",
        origin=f"{assumption(site)}; once in {1 / OFTEN:.0f} let pass, from memory",
        place=_place(path.known.arbor.name, site),
        remedy=remedy,
    )


def _remedy(path: PressPath, holder: Holder, site: Site) -> str:
    """The simplest post that would do, with its height, or what else would."""
    from nests.load_path.setting import holds, tried
    from nests.load_path.supports import SET, drawn
    from nests.load_path.words import height_words

    known, post = path.known, path.known.post
    if post is None and known.over is not None:
        return (
            f"press '{known.arbor.name}' before '{known.over.name}' is fitted, with a post under "
            f"its own {known.jewel.word}, or more gently"
        )
    if post is None:
        return f"a stake post under the {known.jewel.word} of '{known.arbor.name}', set to height"
    if path.path.tips:
        return "a ledge, or posts all round what is pressed"
    laid = next(each for each in holder.laid if each.label == post.label)
    own = laid.part.post()
    assert own is not None  # the load path found it
    others = drawn(site, [(e.label, e.part) for e in holder.laid if e is not laid])
    for kind in SET:
        try:
            fitted, found = tried(site, others, own.as_kind(kind), known.force)
        except BadInput:
            continue
        if holds(found):
            return f"a {kind} post, its end set {height_words(site, fitted, found)}"
    return known.push_out.remedy or "press more gently, or support the arbor itself"


def _no_jewel(load: Load, site: Site) -> Finding:
    return Finding(
        check="load path",
        grade=Grade.UNKNOWN,
        says=f"not assessed: '{load.arbor}' is pressed with {load.force:g} N, and the sheet has no "
        f"jewel for it on the {site.side_down.value} side.",
        parts=("body",),
        remedy="measure the jewel's ⌀ and the height of its face above the rim face; where there "
        "is none, those of the face round the arbor, with `bush` true",
        lacks=(site.sheet.pointer("arbors", load.arbor, "jewels"),),
    )


def _no_plate(load: Load, holder: Holder, site: Site, why: str) -> Finding:
    """What can be said where nothing is known of the plate: what statics alone settles."""
    from nests.load_path.stock import stock_field, stock_of, stock_words
    from nests.load_path.supports import carried_by_statics, props, under

    supports = props(site, [(each.label, each.part) for each in holder.laid])
    own = under(supports, load.arbor)
    stock = stock_words(site.side_down)
    jewel = site.sheet.arbor(load.arbor).jewel(site.side_down)
    bush = jewel is not None and jewel.bush
    outer = site.sheet.outermost(load.arbor, site.side_down)
    if outer.name != load.arbor:
        told = (
            f"its own {'bush' if bush else 'jewel'} has no post, for a post meets that of "
            f"'{outer.name}' on the same axis; all {load.force:g} N go through its own fit into "
            f"{stock}"
        )
    elif bush and own is not None:
        return _bush_on_post(load, own, site)
    elif bush:
        told = f"no post stands under its bush, so all {load.force:g} N bend {stock}"
    elif own is None:
        told = f"no post stands under its jewel, so all {load.force:g} N go through the jewel's fit"
    elif carried_by_statics(supports, own):
        told = (
            f"statics alone sends all {load.force:g} N into {own.label}, for nothing else that "
            "carries can take them from it"
        )
    else:
        told = (
            f"between nothing and all of {load.force:g} N may go through the jewel's fit, as "
            f"{stock} give and {own.label} is short"
        )
    return Finding(
        check="load path",
        grade=Grade.UNKNOWN,
        says=f"not assessed: {why.rstrip('.')}. Pressing on '{load.arbor}': {told}.",
        parts=(own.label,) if own is not None else _carriers(holder),
        origin="statics",
        place=_place(load.arbor, site),
        remedy=f"measure the thickness of {stock} beside the jewel with a micrometer or a dial "
        f"caliper and enter it as {stock_field(site.side_down)}.thickness",
        lacks=(f"/{stock_field(site.side_down)}/thickness",)
        if stock_of(site.sheet, site.side_down).thickness is None
        else (),
    )


def _bush_on_post(load: Load, own: Prop, site: Site) -> Finding:
    """Nothing can slide in a bush, whatever the stock is; it gives until the post catches it."""
    from nests.load_path.push_out import BUSH
    from nests.load_path.stock import stock_field, stock_words

    stock, latest = stock_words(site.side_down), max(own.gap + own.half_width, 0.0)
    caught = latest <= GIVES
    return Finding(
        check="load path",
        grade=Grade.CLEAR if caught else Grade.UNKNOWN,
        says=("" if caught else "not assessed: whether the stock bends for good. ")
        + f"Pressing on '{load.arbor}' with {load.force:g} N: its arbor runs in a bush of "
        f"{stock}: there is no friction fit to slide, and {own.label} catches {stock} at the "
        f"latest {1000 * latest:.0f} µm down, as far off as it may be.",
        parts=(own.label,),
        value=1000 * latest,
        limit=1000 * GIVES,
        unit="µm",
        origin=f"{BUSH}; statics; limit from memory",
        place=_place(load.arbor, site),
        remedy=""
        if caught
        else f"a post that ends nearer to the bush, or measure {stock_field(site.side_down)}"
        ".thickness",
    )


def _place(arbor: str, site: Site) -> Point:
    """Outer face of the jewel that is pressed down."""
    about = site.sheet.arbor(arbor)
    at, jewel = site.frame.place(about.at), about.jewel(site.side_down)
    z = site.seat if jewel is None else site.frame.z(jewel.side, jewel.height)
    return round(at.x, 4), round(at.y, 4), round(z, 4)


def _carriers(holder: Holder) -> tuple[str, ...]:
    """What carries the workpiece where no post stands under what is pressed."""
    labels = {contact.part for contact in holder.contacts}
    found = [each.label for each in holder.laid if each.part.label() in labels]
    return tuple(found[:1]) or ("body",)
