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
    from nests.load_path.setting import holds
    from nests.load_path.stock import plate_of
    from nests.load_path.strength import serves
    from nests.load_path.supports import drawn

    try:
        plate_of(site.sheet, site.side_up)
    except BadInput as unknown:
        return _by_force(site, seat, under, rests, forces, pin_above, str(unknown))
    fixed = drawn(site, [(each.label(), each) for each in (seat, *rests)])
    axes = _axes(site, under, forces)
    hardest = {name: max(forces.values()) for name, forces in axes.items()}
    at = dict.fromkeys(axes, 0)
    posts = {name: each[0] for name, each in under.items()}
    paths: dict[str, dict[str, PressPath]] = {}
    known: dict[tuple[StakePost, ...], tuple[StakePost, dict[str, PressPath]]] = {}

    # one that bears the press for good, if there is one; else one that holds the jewel
    lasting = {
        name for name, some in under.items() if any(serves(p, site, hardest[name]) for p in some)
    }

    def stand(name: str, post: StakePost) -> bool:
        """Stand `post` under a jewel beside the others as they are: whether it holds."""
        beside = [p for n, p in posts.items() if n != name]
        if (post, *beside) not in known:
            known[post, *beside] = _stood(site, _beside(site, fixed, beside), post, axes[name])
        posts[name], paths[name] = known[post, *beside]
        return all(map(holds, paths[name].values())) and (
            name not in lasting or serves(posts[name], site, hardest[name])
        )

    for _ in range(ROUNDS):
        before = dict(posts)
        for name in axes:
            while not stand(name, under[name][at[name]]):
                # a press that pushes out another jewel asks for another post under that one
                other = _pushed(paths[name], posts)
                if other is not None and other != name and at[other] + 1 < len(under[other]):
                    at[other] += 1
                    posts[other] = under[other][at[other]]
                    continue
                at[name] += 1
                if at[name] < len(under[name]):
                    continue
                if name not in lasting:
                    raise _nothing_holds(under[name], paths[name])
                lasting.discard(name)  # what would bear it for good does not keep the jewel
                at[name] = 0
        if posts == before:
            break
    else:  # neighbours still pass it to and fro: it counts what holds with all as they are
        for name in axes:
            if not stand(name, posts[name]):
                raise _nothing_holds(under[name], paths[name])
    reasons = [
        _why(site, posts[name], path, at[name], under[name])
        for name in axes
        for path in paths[name].values()
    ]
    return list(posts.values()), reasons


def _pushed(paths: Mapping[str, PressPath], posts: Mapping[str, StakePost]) -> str | None:
    """The arbor whose jewel some press pushes out, if nothing worse becomes of that press."""
    for path in paths.values():
        if path.pushed is not None and path.pushed.arbor.name in posts:
            return path.pushed.arbor.name
    return None


def _axes(
    site: Site, under: Mapping[str, Sequence[StakePost]], forces: Mapping[str, float]
) -> dict[str, dict[str, float]]:
    """What is pressed over each post, N by arbor: arbors on one axis have one post, under the
    outermost jewel."""
    out: dict[str, dict[str, float]] = {name: {} for name in under}
    for name, force in forces.items():
        out[site.sheet.outermost(name, site.side_down).name][name] = force
    return out


def _stood(
    site: Site, others: Sequence[Prop], post: StakePost, forces: Mapping[str, float]
) -> tuple[StakePost, dict[str, PressPath]]:
    """A post beside the others as drawn, and the load path of every press on its axis: the one on
    its own jewel decides its height."""
    from nests.load_path.setting import as_drawn, passing, tried

    paths: dict[str, PressPath] = {}
    if post.under in forces:
        post, paths[post.under] = tried(site, others, post, forces[post.under])
    else:
        post = as_drawn(site, others, post)
    more = {name: force for name, force in forces.items() if name != post.under}
    if more:
        paths.update(passing(site, others, post, more))
    return post, paths


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
    for name, presses in _axes(site, under, forces).items():
        force = max(presses.values())
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
        if name in presses:
            reasons.append(
                f"{name}: {presses[name]:g} N pressed, {post.kind} post; {why}"
                f"{_drilled(site, post)}."
            )
        reasons += [
            f"{other}: {more:g} N pressed, through the fit of its own {_word(site, other)} into "
            f"the stock; the post under '{name}', on the same axis, holds the stock."
            for other, more in presses.items()
            if other != name
        ]
    return posts, reasons


def _why(
    site: Site, post: StakePost, path: PressPath, index: int, tried: Sequence[StakePost]
) -> str:
    """One reason with its numbers."""
    from nests.load_path.words import axis_words, set_words, slide_words

    if path.known.over is not None:
        return (
            f"{path.known.arbor.name}: {path.known.force:g} N pressed; {axis_words(path)}; "
            f"{slide_words(path)}."
        )
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


def _word(site: Site, name: str) -> str:
    jewel = site.sheet.arbor(name).jewel(site.side_down)
    return "jewel" if jewel is None else jewel.word


def _nothing_holds(tried: Sequence[StakePost], paths: Mapping[str, PressPath]) -> Refused:
    """The refusal of a press, after all posts that have room under its jewel were tried."""
    from nests.load_path.setting import holds
    from nests.load_path.words import axis_words, jewel_words, pushed_words

    path = next((each for each in paths.values() if not holds(each)), None)
    path = path or next(iter(paths.values()))
    known, post = path.known, tried[-1]
    metal = "" if post.kind != "printed" else ", as neither pin nor screw has room,"
    pushed = path.pushed
    lies = "" if known.over is None or pushed is not None else f"{axis_words(path)}; "
    whose = known.arbor.name if pushed is None else pushed.arbor.name
    allowed = (known.arbor if pushed is None else pushed.arbor).endshake_change
    says = jewel_words(path) if pushed is None else pushed_words(pushed)
    return refuse(
        "load path",
        f"no post keeps the jewel of '{whose}' in place under {known.force:g} N"
        f"{'' if whose == known.arbor.name else f' on {known.arbor.name!r}'}: {lies}with a "
        f"{post.kind} post{metal} {says}; allowed are {1000 * allowed:g} µm.",
        known.push_out.remedy or "press more gently, or support the arbor itself",
    )
