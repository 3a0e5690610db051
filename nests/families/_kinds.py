"""Which kind of post stands under each pressed jewel.

From simple to laborious: a printed post; a metal pin set to height; a screw set under the workpiece
as it lies; the same on a stouter shank. The first that keeps the jewel's slide within the endshake
allowed is taken, whatever the force.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from nests.finding import Refused, refuse
from nests.parts.base import Part
from nests.parts.site import Site
from nests.parts.stake_post import StakePost
from nests.units import BadInput

if TYPE_CHECKING:  # the plate's solver needs scipy, and a holder that presses nothing does not
    from nests.load_path.paths import PressPath
    from nests.load_path.supports import Prop

ROUNDS = 3
"""A post of another kind changes what its neighbours carry; so often they are asked again."""


def chosen(
    site: Site,
    seat: Part,
    under: Mapping[str, Sequence[StakePost]],
    rests: Sequence[StakePost],
    forces: Mapping[str, float],
    pin_above: float,
) -> tuple[list[StakePost], list[str]]:
    """A post under every pressed jewel, and the reasons.

    `under` are the posts that have room there, `seat` and `rests` what else carries. Raises
    `Refused` where no kind of post keeps a jewel in place.
    """
    if not forces:
        return [], []
    from nests.load_path.setting import holds, tried
    from nests.load_path.stock import plate_of
    from nests.load_path.strength import serves
    from nests.load_path.supports import drawn

    try:
        plate_of(site.sheet, site.side_up)
    except BadInput as unknown:
        return _by_force(site, seat, under, rests, forces, pin_above, str(unknown))
    fixed = drawn(site, [(each.label(), each) for each in (seat, *rests)])
    at = dict.fromkeys(forces, 0)
    posts = {name: each[0] for name, each in under.items()}
    paths: dict[str, PressPath] = {}
    known: dict[tuple[StakePost, ...], tuple[StakePost, PressPath]] = {}

    # one that bears the press for good, if there is one; else one that holds the jewel
    lasting = {
        name for name, some in under.items() if any(serves(p, site, forces[name]) for p in some)
    }

    def stand(name: str, post: StakePost) -> bool:
        """Stand `post` under a jewel beside the others as they are: whether it holds."""
        beside = [p for n, p in posts.items() if n != name]
        if (post, *beside) not in known:
            others = _beside(site, fixed, beside)
            known[post, *beside] = tried(site, others, post, forces[name])
        posts[name], paths[name] = known[post, *beside]
        return holds(paths[name]) and (
            name not in lasting or serves(posts[name], site, forces[name])
        )

    for _ in range(ROUNDS):
        before = dict(posts)
        for name in forces:
            while not stand(name, under[name][at[name]]):
                at[name] += 1
                if at[name] == len(under[name]):
                    raise _nothing_holds(under[name], paths[name])
        if posts == before:
            break
    else:  # neighbours still pass it to and fro: it counts what holds with all as they are
        for name in forces:
            if not stand(name, posts[name]):
                raise _nothing_holds(under[name], paths[name])
    return list(posts.values()), [_why(site, posts[n], paths[n], at[n], under[n]) for n in forces]


def _beside(site: Site, fixed: Sequence[Prop], posts: Sequence[StakePost]) -> list[Prop]:
    from nests.load_path.supports import ledge_of, post_prop

    ledge = ledge_of(fixed)
    return [*fixed, *(post_prop(each.label(), each, site, ledge) for each in posts)]


def _by_force(
    site: Site,
    seat: Part,
    under: Mapping[str, Sequence[StakePost]],
    rests: Sequence[StakePost],
    forces: Mapping[str, float],
    pin_above: float,
    unknown: str,
) -> tuple[list[StakePost], list[str]]:
    """Kinds by the force alone, where nothing is known of the plate; statics may still tell."""
    from nests.load_path.supports import carried_by_statics, drawn
    from nests.load_path.supports import under as prop_under

    first = [each[0] for each in under.values()]
    supports = drawn(site, [(each.label(), each) for each in (seat, *first, *rests)])
    posts, reasons = [], []
    for name, force in forces.items():
        own = prop_under(supports, name)
        assert own is not None
        statics = carried_by_statics(supports, own)
        metal = [p for p in under[name] if p.kind != "printed"]
        jewel = site.sheet.arbor(name).jewel(site.side_down)
        bush = jewel is not None and jewel.bush
        heavy = force > pin_above and not statics and not bush
        post = metal[0] if metal and heavy else under[name][0]
        why = (
            "its arbor runs in a bush, which cannot slide; the post catches the stock"
            if bush
            else "no other support can take the press from it, by statics alone"
            if statics
            else f"{unknown.rstrip('.')}: by the force alone, from memory, {pin_above:g} N are the "
            "most for a printed one"
        )
        posts.append(post)
        reasons.append(
            f"{name}: {force:g} N pressed, {post.kind} post; {why}{_drilled(site, post)}."
        )
    return posts, reasons


def _why(
    site: Site, post: StakePost, path: PressPath, index: int, tried: Sequence[StakePost]
) -> str:
    """One reason with its numbers."""
    from nests.load_path.words import set_words, slide_words

    kinds = dict.fromkeys(each.kind for each in tried[:index] if each.kind != post.kind)
    passed = " and ".join(kinds)
    left = f"; {passed} would not keep it within {1000 * path.known.arbor.endshake_change:g} µm"
    return (
        f"{post.under}: {path.known.force:g} N pressed, {post.kind} post; {slide_words(path)}"
        f"{left if passed else ''}{set_words(site, post, path)}{_drilled(site, post)}."
    )


def _drilled(site: Site, post: StakePost) -> str:
    jewel = site.sheet.arbor(post.under).jewel(site.side_down)
    if post.kind == "printed" or jewel is None or not jewel.pivot_protrusion:
        return ""
    return f"; drill its end {jewel.pivot_diameter + 2 * post.relief:.2f} mm for the pivot"


def _nothing_holds(tried: Sequence[StakePost], path: PressPath) -> Refused:
    """The refusal of a press, after all posts that have room under its jewel were tried."""
    from nests.load_path.words import jewel_words

    known, post = path.known, tried[-1]
    metal = "" if post.kind != "printed" else ", as neither pin nor screw has room,"
    return refuse(
        "load path",
        f"no post keeps the jewel of '{post.under}' in place under {known.force:g} N: with a "
        f"{post.kind} post{metal} {jewel_words(path)}; allowed are "
        f"{1000 * known.arbor.endshake_change:g} µm.",
        known.push_out.remedy or "press more gently, or support the arbor itself",
    )
