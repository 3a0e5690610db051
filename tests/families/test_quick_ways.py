"""Holders without a sheet, by a few sizes: printable, honest about what they assume, no press."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from manifold3d import CrossSection, Manifold

from nests.checks import judge
from nests.consistency import check_sheet
from nests.documents.files import data_folder
from nests.faces.cli import main
from nests.finding import Finding, Grade
from nests.given.at_work import pressed
from nests.given.operation import EVERY_HAND, Operation
from nests.given.printer_card import PrinterCard
from nests.given.sheet import Sheet
from nests.given.stand_in import HourDepth, Notch, WithEdge, stand_in
from nests.holder.compose import compose
from nests.holder.recipe import Recipe
from nests.kinds import read
from nests.letters.engraving import LETTERS
from nests.orders.extending import with_pushers
from nests.orders.order import order
from nests.parts.body import Body
from nests.parts.finger_relief import FingerRelief
from nests.parts.mark import Mark
from nests.parts.pusher_slot import PusherSlot
from nests.parts.site import Site
from nests.places import Frame, Side
from nests.solids.loops import normal_angle
from nests.solids.solid import area
from nests.study import Study
from nests.units import BadInput

SHEETS = data_folder("gallery") / "sheets"
A = SHEETS / "inv-26-a.json"
PUSHERS = ("--pusher", "2,1.2", "--pusher", "4,1.2", "--stem", "3,0.9")
LEVERS = ("--lever-radius", "14.4", "--travel", "0.5")
MEASURED = (
    "--rim", "2", "--hangs", "2.4", "--flange-diameter", "30.6", "--flange-height", "0.3",
    "--flange-side", "dial",
)  # fmt: skip
KEYED = ("--notch", "1,2.5,1.2", "--notch", "5,3.5,1.2")
WAYS = {
    "round": ("round", "--diameter", "26", "--height", "4.6"),
    "round with pushers": ("round", "--diameter", "26", "--height", "4.6", *PUSHERS),
    "round bridge up": ("round", "--diameter", "26", "--height", "4.6", "--side-up", "bridge"),
    "round measured": ("round", "--diameter", "26", "--height", "4.6", "--rim", "1.6",
                       "--hangs", "1.9", *PUSHERS),
    "chronograph": ("chronograph", "--diameter", "30", "--height", "6", *PUSHERS),
    "chronograph measured": ("chronograph", "--diameter", "30", "--height", "6", *MEASURED,
                             *LEVERS, *PUSHERS),
    "chronograph plunger": ("chronograph", "--diameter", "30", "--height", "6", *MEASURED,
                            *LEVERS, "--pushed-by", "plunger", *PUSHERS),
    "cradle": ("cradle", "--diameter", "12", "--height", "3", "--edge", "1.5", "--hangs", "1"),
    "cradle keyed": ("cradle", "--diameter", "20", "--height", "4", "--edge", "1.5",
                     "--hangs", "1.4", *KEYED),
    "cradle oblong": ("cradle", "--length", "20", "--width", "12", "--height", "3", "--edge",
                      "1.5"),
    "cradle oblong keyed": ("cradle", "--length", "20", "--width", "12", "--height", "3",
                            "--rim", "1.2", "--hangs", "1", "--edge", "1.5", "--notch",
                            "1,2.5,1.2", "--side-up", "bridge"),
}  # fmt: skip


def ran(*arguments: object) -> int:
    try:
        main([str(each) for each in arguments])
    except SystemExit as left:
        return int(left.code or 0)
    return 0


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory):  # type: ignore[no-untyped-def]
    """A pack made once by one of the ways: its folder."""
    root = tmp_path_factory.mktemp("ways")

    @cache
    def of(way: str) -> Path:
        out = root / way.replace(" ", "-")
        assert ran("make", *WAYS[way], "--no-papers", "--out", out) == 0
        return out

    return of


def findings(folder: Path) -> list[dict[str, object]]:
    return list(json.loads((folder / "findings.json").read_text("utf-8"))["findings"])


def recipe_in(folder: Path) -> Recipe:
    return read(folder / "recipe.json", Recipe)


@pytest.mark.parametrize("way", WAYS)
def test_each_way_is_printable_and_engraved_not_to_press(made, way: str) -> None:
    folder = made(way)
    assert (folder / "holder.3mf").is_file()
    assert not [each["says"] for each in findings(folder) if each["grade"] in ("stop", "mend")]
    holder = compose(recipe_in(folder))
    letters = [each.part.engraves() for each in holder.laid if isinstance(each.part, Mark)]
    assert "NO PRESS" in letters
    assert set("NO PRESS") <= LETTERS
    assert "mark 'NO PRESS'" in set(holder.made_by.values())
    engraved = {holder.made_by.get(int(each)) for each in holder.mesh.makers}
    assert "mark 'NO PRESS'" in engraved  # it has faces in the solid


def test_a_holder_from_a_sheet_is_not_engraved_so() -> None:
    found = order("round", {}, sheet=A).recipe
    assert "NO PRESS" not in [each.engraves() for each in found.parts]


ASSUMED = {
    "round": ("rim is taken", "dial_height is taken", "bridge_height is taken", "flange",
              "no arbor", "keep-clear", "stem", "rest that reaches its edge"),
    "round with pushers": ("rim is taken", "pusher 'at 2 h': lever_radius", "stem diameter",
                           "pusher 'at 4 h': travel", "stem draw", "no arbor"),
    "round measured": ("flange", "no arbor", "keep-clear"),
    "chronograph": ("rim is taken", "pusher 'at 2 h': lever_radius", "flange", "no arbor"),
    "chronograph measured": ("no arbor", "keep-clear"),
    "cradle": ("rim is taken", "no arbor", "keep-clear", "which way round"),
    "cradle oblong": ("rim is taken", "goes in turned by 180°", "upside down"),
}  # fmt: skip


@pytest.mark.parametrize("way", ASSUMED)
def test_what_the_sheet_would_have_said_is_unknown_with_what_to_measure(made, way: str) -> None:
    unknown = [each for each in findings(made(way)) if each["grade"] == "unknown"]
    assert all(each["remedy"] for each in unknown)
    for words in ASSUMED[way]:
        assert [each for each in unknown if words in str(each["says"])], words


def test_what_was_measured_is_not_called_assumed(made) -> None:
    said = " ".join(str(each["says"]) for each in findings(made("chronograph measured")))
    assert "is taken to be" not in said.replace("stem diameter is taken", "").replace(
        "stem draw is taken", ""
    )
    assert "flange" not in said
    sheet = recipe_in(made("chronograph measured")).workpiece
    assert (sheet.rim, sheet.bridge_height, sheet.dial_height) == (2.0, 2.4, 1.6)
    assert sheet.casing_ledge is not None
    assert [each.lever_radius for each in sheet.pushers] == [14.4, 14.4]


def test_side_up_tells_what_hangs() -> None:
    sizes = {"diameter": 26.0, "height": 4.6, "rim": 1.6, "hangs": 1.0}
    down = order("round", {**sizes, "side_up": "bridge"}).recipe.workpiece
    assert (down.dial_height, down.bridge_height) == (1.0, 2.0)


def test_slots_lie_at_the_pushers(made) -> None:
    """On the solid: the way from the edge outward at lever's height is free for a peg of 1.2 mm."""
    for way in ("round with pushers", "chronograph"):
        recipe = recipe_in(made(way))
        solid, site = compose(recipe).solid, recipe.site()
        for at in (2.0, 4.0, 8.0):
            z = site.frame.z(Side.DIAL, -1.2)
            radius = site.radius(at)
            peg = Manifold.cylinder(15.0, 0.6, circular_segments=32).rotate((0, 90, 0))
            peg = peg.translate((radius, 0.0, z)).rotate((0, 0, math.degrees(site.frame.angle(at))))
            blocked = (solid ^ peg).volume() > 1e-3
            assert blocked is (at == 8.0)


def workpiece(recipe: Recipe, z: float) -> Manifold:
    """The rim of a cradle's workpiece from the sizes alone, its lower face at z: a plate less its
    notches, drawn here anew."""
    sheet = recipe.workpiece
    keyed = {
        "D20.00 H4.00": ((1, 2.5, 1.2), (5, 3.5, 1.2)),
        "L20.00 W12.00 H3.00": ((1, 2.5, 1.2),),
    }
    if sheet.name.startswith("D"):
        plan = CrossSection.circle(10.0, 240)
        notches = [
            CrossSection.square((w, d + 1.0)).translate((-w / 2, 10.0 - d)).rotate(-30.0 * h)
            for h, w, d in keyed[sheet.name]
        ]
    else:
        plan = CrossSection.square((20.0, 12.0), center=True)
        ((hour, w, d),) = keyed[sheet.name]
        at = 6.0 * math.tan(math.radians(30.0 * hour))
        notches = [CrossSection.square((w, d + 1.0)).translate((at - w / 2, 6.0 - d))]
    for each in notches:
        plan -= each
    if recipe.side_up is Side.BRIDGE:
        plan = plan.mirror((1, 0))
    return Manifold.extrude(plan, sheet.rim).translate((0.0, 0.0, z))


def stands_in(recipe: Recipe, solid: Manifold, moved) -> float:  # type: ignore[no-untyped-def]
    """mm³ of the holder that a workpiece on its pads meets, as it lies best within its play."""
    lies = moved(workpiece(recipe, 0.0)).translate((0.0, 0.0, recipe.site().seat + 0.001))
    shifts = [(0.0, 0.0)] + [
        (0.15 * math.cos(k * math.pi / 3), 0.15 * math.sin(k * math.pi / 3)) for k in range(6)
    ]
    near = solid ^ Manifold.cylinder(recipe.workpiece.rim, 12.5).translate(
        (0, 0, recipe.site().seat)
    )
    return min((near ^ lies.translate((x, y, 0.0))).volume() for x, y in shifts)


@pytest.mark.slow
@pytest.mark.parametrize("way", ["cradle keyed", "cradle oblong keyed"])
def test_a_keyed_cradle_takes_its_workpiece_one_way_round(made, way: str) -> None:
    """Measured on the solid: as it should lie it goes in, straight down; turned by 180°, or turned
    over about any axis, the wall stands in its way wherever its play lets it lie."""
    recipe = recipe_in(made(way))
    solid, rim = compose(recipe).solid, recipe.workpiece.rim
    for lift in np.arange(0.0, 6.0, 0.5):  # room to lift it out
        lifted = workpiece(recipe, recipe.site().seat + 0.001 + lift)
        assert (solid ^ lifted).volume() < 1e-6
    assert stands_in(recipe, solid, lambda w: w.rotate((0, 0, 180))) > 0.5
    for turn in range(0, 360, 3):
        over = stands_in(
            recipe, solid, lambda w, t=turn: w.rotate((180, 0, t)).translate((0, 0, rim))
        )
        assert over > 0.05, turn
    assert any(each["check"] == "way round" and each["grade"] == "clear"
               for each in findings(made(way)))  # fmt: skip
    reliefs = [each.at for each in recipe.parts if isinstance(each, FingerRelief)]
    assert len(reliefs) == 2


def test_a_cradle_without_notches_says_that_it_goes_in_turned(made) -> None:
    recipe = recipe_in(made("cradle oblong"))
    says = [str(each["says"]) for each in findings(made("cradle oblong"))
            if each["check"] == "way round"]  # fmt: skip
    assert len(says) == 2
    site = recipe.site()
    plate = Manifold.cube((20.0, 12.0, recipe.workpiece.rim), center=True)
    lies = plate.translate((0, 0, site.seat + recipe.workpiece.rim / 2 + 0.001))
    assert (compose(recipe).solid ^ lies.rotate((0, 0, 180))).volume() < 1e-6


def test_one_notch_in_a_round_edge_keeps_it_from_turning_and_not_from_turning_over() -> None:
    """A disc with one notch is its own mirror image."""
    options = {"diameter": 20.0, "height": 4.0, "edge": 1.5}
    notch = (Notch(hour=2.0, width=2.5, depth=1.2),)
    recipe = order("cradle", {**options, "notch": notch}).recipe
    found = judge(Study.of(compose(recipe)), ("way round",))
    assert [each.grade for each in found] == [Grade.UNKNOWN]
    assert "upside down" in found[0].says


@pytest.mark.parametrize("size", [{"diameter": 18.0}, {"length": 24.0, "width": 15.0}])
def test_rests_of_a_keyed_edge_stay_off_its_notches(size: dict[str, float]) -> None:
    """Areas that carry lie on the workpiece: its sheet agrees with itself, for many notches."""
    hours = range(12) if "diameter" in size else (0, 1, 3, 5, 6, 7, 9, 11)
    for first in hours:
        notches = [Notch(hour=float(first), width=2.5, depth=1.2)]
        if "diameter" in size:
            notches.append(Notch(hour=(first + 3.7) % 12, width=3.5, depth=1.0))
        sheet = WithEdge(**size, height=4.0, edge=1.5, notch=tuple(notches)).stand_in(Side.DIAL)
        assert Grade.STOP not in [each.grade for each in check_sheet(sheet)]
        assert len(sheet.rests) >= 3
        site = Site(sheet, Side.DIAL, PrinterCard(), 0.01, Body())
        whole = CrossSection([site.edge().bore(0.02)])
        for rest in sheet.rests:
            assert (area(rest.zone, site.frame, 0.01) - whole).area() < 1e-3


def test_the_normal_beside_a_notch_is_that_of_the_edge() -> None:
    """Flanks of a notch run backward about the axis; no ray leaves the outline there."""
    sheet = WithEdge(
        diameter=20.0, height=4.0, edge=1.5, notch=(Notch(hour=2.0, width=2.5, depth=1.2),)
    ).stand_in(Side.DIAL)
    frame = Frame(Side.DIAL, 3.0, sheet.rim)
    for at in (0.0, 1.0, 2.0, 3.0, 5.5, 8.0, 9.0, 11.0):
        angle = frame.angle(at)
        off = math.remainder(normal_angle(sheet.outline, frame, angle) - angle, math.tau)
        assert off == pytest.approx(0.0, abs=1e-6), at


BASE = {
    "round": ("round", "--diameter", "26", "--height", "4.6"),
    "chronograph": ("chronograph", "--diameter", "30", "--height", "6"),
    "cradle": ("cradle", "--diameter", "12", "--height", "3", "--edge", "1.5"),
    "oblong": ("cradle", "--length", "20", "--width", "12", "--height", "3", "--edge", "1.5"),
}
WRONG = [
    ("round", ("--pusher", "2,1,2"), ("--pusher is '2,1,2'", "HOUR,DEPTH", "point", "2,1.2")),
    ("round", ("--pusher", "2"), ("--pusher is '2'", "HOUR,DEPTH")),
    ("round", ("--pusher", "two,1.2"), ("--pusher is 'two,1.2'", "HOUR,DEPTH")),
    ("round", ("--pusher", "13,1.2"), ("--pusher is '13,1.2'", "hour is 13 h", "0 to 12 h")),
    ("round", ("--pusher", "2,deep"), ("--pusher '2,deep': depth is 'deep'", "a length")),
    ("round", ("--pusher", "2,40"), ("--pusher is '2,40'", "depth is 40 mm", "-2 to 12 mm")),
    ("round", ("--pusher", "2,9"), ("'at 2 h'", "depth is 9 mm", "4.6 mm")),
    ("round", ("--pusher", "nan,1"), ("--pusher is 'nan,1'", "finite")),
    ("round", ("--stem", "3"), ("--stem is '3'", "HOUR,DEPTH")),
    ("round", ("--stem", "3,0.9,1"), ("--stem is '3,0.9,1'", "HOUR,DEPTH")),
    ("round", ("--rim", "9"), ("rim is 9 mm", "4.6 mm")),
    ("round", ("--rim", "2", "--hangs", "3"), ("hangs is 3 mm", "2.60 mm")),
    ("round", ("--operation", "hand-setting"), ("hand-setting", "nothing may be pressed")),
    ("round", ("--sheet", A), ("--diameter", "without a sheet")),
    ("chronograph", (), ("--pusher HOUR,DEPTH",)),
    ("chronograph", (*PUSHERS, "--pushed-by", "plunger"), ("--lever-radius", "--travel")),
    ("chronograph", (*PUSHERS, "--pushed-by", "plunger", "--travel", "0.5"), ("--lever-radius",)),
    ("chronograph", (*PUSHERS, "--pushed-by", "spring lever"), ("spring lever", "--travel")),
    ("chronograph", (*PUSHERS, "--arbor", "centre"), ("arbor is centre", "nothing may be pressed")),
    ("chronograph", (*PUSHERS, "--force", "5"), ("force is 5", "N", "nothing may be pressed")),
    ("chronograph", (*PUSHERS, "--operation", "chronograph-hands"),
     ("chronograph-hands", "nothing may be pressed")),
    ("chronograph", (*PUSHERS, "--flange-diameter", "30.6"), ("--flange-height",)),
    ("chronograph", (*PUSHERS, "--flange-height", "0.3"), ("--flange-diameter",)),
    ("chronograph", (*PUSHERS, "--flange-diameter", "29", "--flange-height", "0.3"),
     ("casing_ledge.diameter is 29 mm", "30 mm")),
    ("chronograph", (*PUSHERS, "--lever-radius", "3"), ("lever_radius is 3 mm", "3.75")),
    ("cradle", ("--edge", "0.7"), ("edge is 0.7 mm", "1.02 mm or more")),
    ("cradle", ("--edge", "6"), ("edge is 6 mm", "12 mm across", "less than 6.00 mm")),
    ("cradle", ("--length", "20"), ("--diameter", "--length", "one of the two")),
    ("cradle", ("--notch", "2,2.5"), ("--notch is '2,2.5'", "HOUR,WIDTH,DEPTH")),
    ("cradle", ("--notch", "2,1,1.2"), ("--notch is '2,1,1.2'", "width is 1 mm", "2 to 20 mm")),
    ("cradle", ("--notch", "2,3,1.2", "--notch", "2.5,3,1.2"), ("notch at 2 h and 2.5 h",)),
    ("cradle", ("--notch", "2,3,5"), ("depth of a notch is 5 mm", "4.00 mm")),
    ("cradle", ("--arbor", "rotor"), ("arbor is rotor", "nothing may be pressed")),
    ("oblong", ("--notch", "2,3,1.2"), ("notch at 2 h", "corner")),
    ("oblong", ("--width", "3"), ("width is 3 mm", "5 to 70 mm")),
]  # fmt: skip


def given(base: str, more: tuple[str, ...]) -> list[str]:
    """The options of a base, but those that `more` gives otherwise."""
    family, *rest = BASE[base]
    pairs = zip(rest[::2], rest[1::2], strict=True)
    kept = [each for pair in pairs for each in pair if pair[0] not in more or pair[0] == "--pusher"]
    return [family, *kept, *more]


@pytest.mark.parametrize(("base", "more", "says"), WRONG)
def test_wrong_input_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], base: str, more: tuple[str, ...],
    says: tuple[str, ...],
) -> None:  # fmt: skip
    out = tmp_path / "none"
    assert ran("make", *given(base, more), "--no-papers", "--out", out) == 2
    told = capsys.readouterr()
    lines = told.err.strip().splitlines()
    assert len(lines) == (2 if "the pusher 'at 4 h'" in told.err else 1)  # both are as wrong
    assert all(line.startswith("nests: ") for line in lines)
    for words in says:
        assert words in told.err
    assert not out.exists()


@pytest.mark.parametrize(
    ("family", "more", "says"),
    [
        ("cradle", ("--diameter", "12", "--height", "3"), "give --edge"),
        ("cradle", ("--edge", "1.5"), "either --diameter or both --length and --width"),
        ("cradle", ("--length", "9", "--height", "3", "--edge", "1.5"), "give all of --length"),
        ("round", ("--height", "3"), "both --diameter and --height"),
        ("hand-setting", (), "needs --sheet FILE"),
    ],
)
def test_what_lacks_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], family: str, more: tuple[str, ...],
    says: str,
) -> None:  # fmt: skip
    assert ran("make", family, *more, "--out", tmp_path / "none") == 2
    assert says in capsys.readouterr().err


def test_nothing_is_pressed_on_a_workpiece_of_which_no_arbor_is_known() -> None:
    sheet = stand_in(26.0, 4.6)
    does = Operation(name="press", side_up=Side.DIAL, presses=EVERY_HAND)
    with pytest.raises(BadInput, match=r"nothing may be pressed on 'D26\.00 H4\.60'"):
        pressed(sheet, does)
    with pytest.raises(BadInput, match="nothing may be pressed"):
        compose(replace(order("round", {"diameter": 26.0, "height": 4.6}).recipe, operation=does))


def forces(recipe: Recipe) -> set[float]:
    return set(pressed(recipe.workpiece, recipe.operation).values())


@pytest.mark.slow
def test_a_force_without_an_arbor_holds_for_every_press() -> None:
    for family, operation in (("hand-setting", None), ("hand-setting", "hand-setting"),
                              ("thin", None), ("chronograph", "chronograph-hands")):  # fmt: skip
        sheet = SHEETS / ("inv-30-c.json" if family == "chronograph" else "inv-26-a.json")
        usual = order(family, {}, sheet=sheet, operation=operation).recipe
        gentle = order(family, {"force": 5.0}, sheet=sheet, operation=operation).recipe
        assert forces(gentle) == {5.0} != forces(usual)
        assert (
            pressed(usual.workpiece, usual.operation).keys()
            == pressed(gentle.workpiece, gentle.operation).keys()
        )
        assert not [each for each in gentle.reasons if "20 N" in each]
    named = {"arbor": "centre", "side_up": "dial", "force": 4.0}
    assert forces(order("pressing", named, sheet=A).recipe) == {4.0}


def test_a_force_where_nothing_is_pressed_is_refused() -> None:
    for options in ({}, {"side_up": "bridge"}):
        with pytest.raises(BadInput, match=r"force is 5 N, and '.*' presses nothing"):
            order("pressing", {**options, "force": 5.0}, sheet=A)
    with pytest.raises(BadInput, match="presses nothing"):
        order("thin", {"side_up": "bridge", "force": 5.0}, sheet=A)


def test_help_says_what_a_force_is_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert ran("make", "chronograph", "--help") == 0
    words = " ".join(capsys.readouterr().out.split())
    assert "force of every press, also where the operation states another" in words
    assert "--pusher HOUR,DEPTH" in words
    assert "hour, and mm of its lever's middle below the dial-side rim face" in words


def stops(recipe: Recipe) -> list[Finding]:
    return [each for each in judge(Study.of(compose(recipe))) if each.grade is Grade.STOP]


def test_a_pusher_extends_a_recipe_that_exists(tmp_path: Path, made) -> None:
    source, out = made("round") / "recipe.json", tmp_path / "more"
    before = source.read_bytes()
    assert ran("make", "--recipe", source, "--pusher", "2,1.2", "--pusher", "4,1.2",
               "--no-papers", "--out", out) == 0  # fmt: skip
    old, new = read(source, Recipe), recipe_in(out)
    assert source.read_bytes() == before
    assert [each.name for each in new.workpiece.pushers] == ["at 2 h", "at 4 h"]
    slots = [each for each in new.parts if isinstance(each, PusherSlot)]
    assert [each.pusher for each in slots] == ["at 2 h", "at 4 h"]
    assert len(new.reasons) == len(old.reasons) + 2
    assert "'at 2 h'" in new.reasons[-2]
    assert not stops(new)
    told = [each for each in findings(out) if "reached by a peg" in str(each["says"])]
    assert len(told) == 2
    texts = lambda r: sorted(each.engraves() for each in r.parts if each.engraves())  # noqa: E731
    assert texts(new) == texts(old)  # what is engraved moves and does not go
    same = [each for each in old.parts if not isinstance(each, Mark)]
    assert [each for each in new.parts if not isinstance(each, Mark | PusherSlot)] == same


@pytest.mark.slow
def test_a_recipe_from_a_sheet_is_extended_too() -> None:
    recipe = order("hand-setting", {}, sheet=A, operation="hand-setting").recipe
    assert not stops(recipe)
    more = with_pushers(recipe, ("7,0.8",))
    assert not stops(more)
    assert [each.name for each in more.workpiece.pushers] == ["at 7 h"]
    unknown = [each.says for each in judge(Study.of(compose(more)), ("consistency",))]
    assert len([each for each in unknown if "'at 7 h'" in each]) == 2


def test_a_pusher_of_the_sheet_gets_its_slot() -> None:
    sheet = read(SHEETS / "inv-30-c.json", Sheet)
    recipe = order("round", {}, sheet=SHEETS / "inv-30-c.json").recipe
    first = sheet.pushers[0]
    more = with_pushers(recipe, (f"{first.hour},{first.depth}",))
    assert more.workpiece == recipe.workpiece
    assert more.parts[-1].serves().pushers == (first.name,)
    with pytest.raises(BadInput, match=r"has its pusher slot .* there already"):
        with_pushers(more, (f"{first.hour},{first.depth}",))
    with pytest.raises(BadInput, match=f"lies {first.depth:g} mm deep"):
        with_pushers(recipe, (f"{first.hour},{first.depth + 0.5}",))


@pytest.mark.parametrize(
    ("at", "says"),
    [
        ("9,1.2", "finger relief at 9 h"),
        ("0,1.2", "12 h notch"),
        ("2,1,2", "HOUR,DEPTH"),
        ("5,11", "depth is 11 mm"),
    ],
)
def test_what_stands_in_the_way_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], made, at: str, says: str
) -> None:
    out = tmp_path / "none"
    source = made("round") / "recipe.json"
    assert ran("make", "--recipe", source, "--pusher", at, "--out", out) == 2
    told = capsys.readouterr().err
    assert says in told
    assert len(told.strip().splitlines()) == 1
    assert not out.exists()


def test_a_cradle_takes_no_pusher(made) -> None:
    with pytest.raises(BadInput, match="is a sub-assembly cradle"):
        with_pushers(recipe_in(made("cradle")), ("2,1.2",))


def test_the_same_again_byte_by_byte(tmp_path: Path, made) -> None:
    way = "cradle keyed"
    again = tmp_path / "again"
    assert ran("make", *WAYS[way], "--no-papers", "--out", again) == 0
    for each in made(way).iterdir():
        assert (again / each.name).read_bytes() == each.read_bytes()


def test_what_is_written_reads_back() -> None:
    assert HourDepth.read("2,1.2", "--pusher") == HourDepth(hour=2.0, depth=1.2)
    assert HourDepth.read("2.5,1200um", "--pusher") == HourDepth(hour=2.5, depth=1.2)
    edge = Site(stand_in(26.0, 4.6), Side.DIAL, PrinterCard(), 0.01, Body())
    assert edge.radius(2.0) == 13.0
