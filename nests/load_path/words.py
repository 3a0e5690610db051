"""Load paths in a watchmaker's words."""

from __future__ import annotations

import math

from nests.load_path.passed import Passed
from nests.load_path.paths import PressPath
from nests.load_path.stock import stock_of, stock_words
from nests.load_path.supports import SET
from nests.parts.post import Post
from nests.parts.site import Site


def jewel_words(path: PressPath) -> str:
    """What the jewel's fit carries, when it slides, and what the post does about it."""
    if path.known.jewel.bush:
        return (
            "its arbor runs in a bush of the stock itself: there is no friction fit to slide, the "
            "stock takes the press, and what stands under it catches the stock"
        )
    fit, holds = abs(path.path.fit_force), path.known.push_out
    if path.pressed is None:
        sends = f"at most {fit:.1f} N run through the jewel's friction fit"
    else:
        sends = f"{fit:.1f} N run through the jewel's friction fit"
    return f"{sends}, which slides from {holds.force:.1f} N ({holds.origin}); {slide_words(path)}"


def axis_words(path: PressPath) -> str:
    """Which jewel a press goes through where that of another arbor on its axis lies over it, what
    of it comes to the post under that one, and what is not supported; '' else."""
    over, known = path.known.over, path.known
    if over is None:
        return ""
    through = path.most_through(over)
    carried = known.arbor.carries
    hands = f"{' and '.join(carried)} press{'' if carried[1:] else 'es'} on it; " if carried else ""
    outer = f"that of '{over.name}', which lies outermost on the same axis"
    if through is None:
        return (
            f"{hands}its own {known.jewel.word} has no post: a post would meet {outer}, and the "
            "press goes through its own fit into the stock"
        )
    return (
        f"{hands}its own {known.jewel.word} is not supported, a post meets {outer}: the press goes "
        f"through its own fit into the stock, of which {through.label} takes {through.force:.1f} N "
        f"back through the {through.jewel.word} of '{over.name}', at worst {through.worst:.1f} N, "
        f"{_firm(through)}"
    )


def _firm(passed: Passed) -> str:
    if passed.jewel.bush:
        return "a bush, which cannot slide"
    holds = f"which slides from {passed.push_out.force:.1f} N ({passed.push_out.origin})"
    if not passed.slide:
        return holds
    return f"{holds}, and is pushed out by {1000 * passed.slide:.1f} µm then, {_odds_of(passed)}"


def _odds_of(passed: Passed) -> str:
    return f"by more than allowed {_odds(passed.chance)}"


def pushed_words(passed: Passed) -> str:
    """What becomes of a jewel that is not pressed, over a post that takes too much."""
    far = (
        "how far is not known"
        if passed.slide == math.inf
        else f"by {1000 * passed.slide:.1f} µm at worst"
    )
    return (
        f"{passed.label} takes {passed.force:.1f} N as drawn, at worst {passed.worst:.1f} N, "
        f"through the jewel of '{passed.arbor.name}', which is not pressed and slides from "
        f"{passed.push_out.force:.1f} N ({passed.push_out.origin}): it is pushed out, {far}, "
        f"{_odds_of(passed)}"
    )


def slide_words(path: PressPath) -> str:
    """How far the jewel slides, at worst and how often."""
    worst, chance = 1000 * path.worst_slide, path.chance
    if path.path.slide == math.inf:
        return "nothing stops the jewel then"
    if worst < 0.05:
        return f"the {path.known.jewel.word} stays where it is"
    odds = "" if path.spread is None else f", by more than allowed {_odds(chance)}"
    drawn = 1000 * abs(path.path.slide)
    return (
        f"the jewel slides by {drawn:.0f} µm as drawn and {worst:.1f} µm at worst, every ± at its "
        f"end{odds}"
    )


def _odds(chance: float) -> str:
    if chance <= 0.0:
        return "never"
    if chance < 5e-4:
        return "in fewer than 1 of 2000 cases"
    return f"in {1000 * chance:.0f} of 1000 cases"


def shares_words(path: PressPath, site: Site) -> str:
    """Who carries what, and how far the stock gives."""
    if path.pressed is None:
        return "The contact found no solution, so these are bounds: all of the press in the fit"
    others = path.path.others
    post = path.known.post
    seat = math.fsum(n for label, n in others.items() if label in path.known.ledges)
    rest = math.fsum(others.values()) - seat
    own = f"its post takes {path.path.post:.1f} N" if post is not None else "no post is under it"
    if path.known.over is not None and post is None:
        own = "no post meets its jewel".replace("jewel", path.known.jewel.word)
    parts = (own, f"the ledge {seat:.1f} N", f"other supports {rest:.1f} N")
    moved = 1000 * path.path.deflection
    way = "gives" if moved >= 0 else "lifts"
    return f"Of the press {', '.join(parts)}; the plate {way} {abs(moved):.1f} µm there"


def gap_words(path: PressPath) -> str:
    """How a post stands to its jewel, and what that may be off."""
    post = path.known.post
    if post is None:
        return ""
    gap = 1000 * (post.gap - path.known.lies)
    how = f"is {abs(gap):.0f} µm {'short of bearing' if gap > 0.0 else 'proud'}"
    how = "bears" if abs(gap) < 0.5 else how
    return f"; the {post.kind} post {how} as drawn, ± {1000 * post.half_width:.0f} µm"


def set_words(site: Site, post: Post, path: PressPath) -> str:
    """To what height a post is set, and from where that is gauged; '' for a printed one."""
    return f"; set its end {height_words(site, post, path)}" if post.kind in SET else ""


def height_words(site: Site, post: Post, path: PressPath) -> str:
    """The height of the end of a post as it is gauged, ± what is let pass."""
    asked = post.tip_feature(site).from_ledge(site, path.known.ledge).limits()
    if post.kind == "screw":
        how = "it bears" if post.short == 0.0 else f"{-1000 * post.short:.0f} µm past bearing"
        return f"with an indicator on the movement until {how} ({asked})"
    return f"to {asked}"


def assumption(site: Site) -> str:
    """What the plate was taken as."""
    stock, other = stock_of(site.sheet, site.side_down), stock_of(site.sheet, site.side_up)
    words = stock_words(site.side_down)
    worst = (
        f"worst case and odds also with {stock_words(site.side_up)} fast on it all over, as one "
        "laminate (Jones, Mechanics of Composite Materials)"
        if other.thickness is not None
        else f"how much {stock_words(site.side_up)} stiffen it is not known"
    )
    return (
        f"{words} taken as one plate of {stock.thickness:g} mm of {stock.material} over the whole "
        f"outline (Kirchhoff), on supports that push and never pull; {worst}"
    )
