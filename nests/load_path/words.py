"""Load paths in a watchmaker's words."""

from __future__ import annotations

import math

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
    seat = sum(n for label, n in others.items() if label in path.known.ledges)
    rest = sum(others.values()) - seat
    own = f"its post takes {path.path.post:.1f} N" if post is not None else "no post is under it"
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
