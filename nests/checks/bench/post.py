"""Post: is every post strong and stiff enough for what it carries, now and after a thousand hours,
and does none lift the workpiece off its ledge?

A post is judged under the most that the presses can send into it: the whole press under the jewel
that is pressed, for a jewel may slide until its post takes all it lets go; elsewhere what the load
path says, or all of the hardest press where that is not known.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from nests.finding import Finding, Grade
from nests.holder.compose import Holder
from nests.load_path.loads import presses
from nests.load_path.strength import SINKS, borne, sinks, weight
from nests.parts.metal import is_pin, widest_pin
from nests.parts.post import Post
from nests.parts.site import Site
from nests.study import Study
from nests.units import GRAVITY, BadInput

LONG = "1000 h"
LIFTS = 30.0
"""µm by which a post may lift a workpiece off its ledge; from memory."""


def check(study: Study) -> list[Finding]:
    """The gravest of strength, buckling and bearing of each pressed post, creep and lift of all."""
    holder = study.holder
    if holder is None:
        return []
    site = holder.recipe.site()
    posts = [(e.label, post) for e in holder.laid if (post := e.part.post()) is not None]
    if not posts:
        return []
    carried = _most(study, site, posts)
    out = [_judged(label, post, site, carried[label]) for label, post in posts if carried[label]]
    out += [_not_made(label, post, site) for label, post in posts if not _is_made(post, site)]
    return [*out, *_creep(site, posts), *_lifting(holder, site, posts)]


def _is_made(post: Post, site: Site) -> bool:
    """Whether its insert, if it has one, is of a size that can be bought."""
    held = post.inserted(site)
    return held is None or held.alone or is_pin(held.across)


def _not_made(label: str, post: Post, site: Site) -> Finding:
    nearest = widest_pin(post.insert)
    instead = "" if nearest is None else f"; the next slimmer one is ⌀{nearest:g} mm"
    return Finding(
        check="post",
        grade=Grade.MEND,
        says=f"{label} is bored for a {post.kind} of ⌀{post.insert:g} mm, which is not made"
        f"{instead}.",
        parts=(label,),
        value=post.insert,
        limit=nearest,
        unit="mm",
        origin="ISO 2338, ISO 8734, ISO 4026, and common rod",
        place=post.contacts(site)[0].place,
        remedy="an insert of a size that is made",
    )


def _most(study: Study, site: Site, posts: list[tuple[str, Post]]) -> dict[str, float]:
    """Most force in N that any press sends into each post, by label."""
    assert study.holder is not None
    forces = {e.arbor: e.force for e in presses(site, study.holder.recipe.operation)}
    hardest = max(forces.values(), default=0.0)
    try:
        paths = study.press_paths
    except BadInput:
        paths = ()
    out = {}
    ends = [each.path for path in paths for each in path.both]  # the stock alone, and both as one
    known = len(paths) == len(forces) and not any(math.isnan(each.fit_force) for each in ends)
    for label, post in posts:
        if not known:
            # every support only pushes, so none takes more than the press
            elsewhere = hardest
        else:
            elsewhere = max((each.others.get(label, 0.0) for each in ends), default=0.0)
        out[label] = max(forces.get(post.under, 0.0), elsewhere)
    return out


def _judged(label: str, post: Post, site: Site, force: float) -> Finding:
    """The gravest of what a force does to a post."""
    found = borne(post, site, force)
    gravest, fails = found.gravest, found.fails
    return Finding(
        check="post",
        grade=Grade.MEND if fails else Grade.CLEAR,
        says=f"{label} carries at most {force:.1f} N: {found.stress:.1f} MPa in the resin, which "
        f"bears {found.strength:.0f} again and again; {found.gives} at {found.holds:.0f} N; "
        f"its tip of {found.area:.2f} mm² presses with {found.bears:.1f} MPa"
        f"{'; its insert must be of steel' if found.steel else ''}"
        f"{_sink_words(post, site)}"
        f"{f'; it {gravest.what} too much' if fails else ''}.",
        parts=(label,),
        value=round(gravest.value, 3),
        limit=round(gravest.limit, 3),
        unit=gravest.unit,
        origin=gravest.origin,
        place=post.contacts(site)[0].place,
        remedy="a wider tip and shank, or a metal pin" if fails else "",
    )


def _sink_words(post: Post, site: Site) -> str:
    """That an oil sink was not counted, where the sheet does not say whether there is one."""
    jewels = [a.jewel(site.side_down) for a in site.sheet.arbors if a.name == post.under]
    told = all(j is None or j.bush or j.oil_sink is not None for j in jewels)
    return "" if told else "; an oil sink is not counted, as the sheet gives none"


def _creep(site: Site, posts: list[tuple[str, Post]]) -> Iterator[Finding]:
    """What stays on the posts is the weight of the workpiece; presses do not stay."""
    stays = weight(site.sheet)
    if stays is None:
        return
    card = site.card
    label, softest = min(posts, key=lambda each: each[1].stiffness(site))
    shorter = sinks(softest, site, stays)
    fails = shorter > SINKS
    yield Finding(
        check="post",
        grade=Grade.MEND if fails else Grade.CLEAR,
        says=f"no press stays; were the {stays / GRAVITY:g} g of the workpiece left on {label} "
        f"alone for {LONG}, it would shorten by {shorter:.2f} µm.",
        parts=(label,),
        value=round(shorter, 4),
        limit=SINKS,
        unit="µm",
        origin=f"creep factor {card.creep_factor:g} of the printer card "
        f"({card.origin('creep_factor')}); 1 µm from memory",
        remedy="take the workpiece out of the holder between jobs" if fails else "",
    )


def _lifting(holder: Holder, site: Site, posts: list[tuple[str, Post]]) -> Iterator[Finding]:
    """Posts under rests that lift the rim off a ledge which should carry it.

    One under a pressed jewel may stand proud; how much is for the load path to say.
    """
    shelves = [e.part.shelf(site) for e in holder.laid]
    carried = any(each is not None and not each.drop for each in shelves)
    for label, post in posts if carried else []:
        proud = -1000.0 * post.short
        if proud > LIFTS and any(rest.name == post.under for rest in site.sheet.rests):
            yield Finding(
                check="post",
                grade=Grade.MEND,
                says=f"{label} stands {proud:.0f} µm proud of its rest and lifts the workpiece off "
                "its ledge, so that it lies askew and rocks.",
                parts=(label,),
                value=round(proud, 1),
                limit=LIFTS,
                unit="µm",
                origin="from memory",
                place=post.contacts(site)[0].place,
                remedy="a shorter post, which only catches a bend, or a ledge that only centres",
            )
