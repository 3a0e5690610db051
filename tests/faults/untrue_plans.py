"""Work plans, printer cards and recipes that cannot be true; see `untrue`."""

from __future__ import annotations

from untrue import Data, Untrue, more, to

AUTO, CHRONO, TOURING = "automatic", "chronograph", "tourbillon"
PINION = 15
"""The operation of the automatic plan that presses the cannon pinion on."""


def press(**figures: object) -> Data:
    """A press on the centre arbor."""
    return {"arbor": "centre", **figures}


PLANS = (
    Untrue("no operation", "WorkPlan.operations", AUTO, to("operations", []),
           ("no operation", "one or more")),
    Untrue("a plan without a name", "WorkPlan.name", AUTO, to("name", " "),
           ("name is ' '", "can be seen")),
    Untrue("an operation without a name", "Operation.name", AUTO, to("operations", 1, "name", ""),
           ("operations[1].name is ''", "can be seen")),
    Untrue("one operation twice", "Operation.name", AUTO,
           to("operations", 2, "name", "weight off"), ("operations", "'weight off'", "unique")),
    Untrue("operations apart in capitals", "Operation.name", AUTO,
           to("operations", 2, "name", "Weight off"),
           ("'Weight off' and 'weight off'", "capitals")),
    Untrue("operations apart in what is not seen", "Operation.name", CHRONO,
           to("operations", 4, "name", "hands\u200b off"), ("operations", "U+200B", "told apart")),
    Untrue("one sub-assembly in two spellings", "Operation.on", AUTO,
           to(("operations", 0, "on", "Auto works"), ("operations", 1, "on", "auto works")),
           ("on is 'Auto works' and 'auto works'", "capitals")),
    Untrue("a sub-assembly of blanks", "Operation.on", AUTO, to("operations", 0, "on", "  "),
           ("'look over'", "on is '  '", "can be seen")),
    Untrue("least more than most", "Press.least", AUTO,
           to(("operations", PINION, "presses", 0, "least", 70)),
           ("'cannon pinion'", "presses[0]", "least is 70 N", "60 N")),
    Untrue("force below least", "Press.force", AUTO,
           to("operations", PINION, "presses", 0, "force", 12),
           ("'cannon pinion'", "force is 12 N", "at least least, 15 N")),
    Untrue("force above most", "Press.most", AUTO,
           to("operations", PINION, "presses", 0, "force", 80),
           ("'cannon pinion'", "force is 80 N", "at most most, 60 N")),
    Untrue("most below the usual force", "Press.most", TOURING,
           to("operations", 0, "presses", [press(force=20, most=5)]),
           ("force is 20 N", "most, 5 N")),
    Untrue("arbors that look alike", "Press.arbor", AUTO,
           more("operations", PINION, "presses", [{"arbor": "Centre"}]),
           ("presses hold 'Centre' and 'centre'", "capitals")),
    Untrue("every hand in capitals", "Press.arbor", AUTO,
           to("operations", PINION, "presses", 0, "arbor", "Every hand"),
           ("presses hold 'Every hand'", "written 'every hand'")),
    Untrue("an arbor without a name", "Press.arbor", AUTO,
           to("operations", PINION, "presses", 0, "arbor", " "),
           ("presses[0].arbor is ' '", "seen")),
    Untrue("pressed and not fitted", "Operation.absent", AUTO,
           more("operations", PINION, "absent", ["centre"]),
           ("'cannon pinion'", "absent holds 'centre'", "pressed")),
    Untrue("absent twice", "Operation.absent", AUTO,
           more("operations", 2, "absent", ["oscillating weight"]),
           ("'auto off'", "absent holds 'oscillating weight' 2 times", "once")),
    Untrue("absent in two spellings", "Operation.absent", AUTO,
           more("operations", 2, "absent", ["oscillating  weight"]),
           ("'auto off'", "'oscillating  weight'", "blanks")),
)  # fmt: skip

PLANS_LIVE_WITH = (
    Untrue("one press said twice", "Operation.presses", AUTO,
           more("operations", PINION, "presses", [press(force=35, least=15, most=60)]),
           ("'cannon pinion'", "presses holds the same press on 'centre' 2 times", "once")),
)  # fmt: skip
PLANS_UNLOOKED = (
    Untrue("a shock of what is not turned over", "Operation.shock", AUTO,
           to("operations", 1, "shock", 25.0),
           ("'weight off'", "shock is 25", "turned_over is false")),
)  # fmt: skip

CARD = "bench-printer"

CARDS = (
    Untrue("a hole below a pixel", "PrinterCard.pixel", CARD,
           to(("pixel", 0.3), ("smallest_hole", 0.2)),
           ("smallest_hole is 0.2 mm", "0.3 mm (pixel)")),
    Untrue("a gap below a pixel", "PrinterCard.smallest_gap", CARD,
           to(("pixel", 0.3), ("smallest_gap", 0.2)), ("smallest_gap is 0.2 mm", "0.3 mm (pixel)")),
    Untrue("a wall below a pixel", "PrinterCard.smallest_wall", CARD,
           to(("pixel", 0.3), ("smallest_wall", 0.2)),
           ("smallest_wall is 0.2 mm", "0.3 mm (pixel)")),
    Untrue("a pin below a pixel", "PrinterCard.smallest_pin", CARD,
           to(("pixel", 0.3), ("smallest_pin", 0.2)), ("smallest_pin is 0.2 mm", "0.3 mm (pixel)")),
    Untrue("a line below a pixel", "PrinterCard.smallest_line", CARD,
           to(("pixel", 0.3), ("smallest_line", 0.2)),
           ("smallest_line is 0.2 mm", "0.3 mm (pixel)")),
    Untrue("a layer above the wall", "PrinterCard.layer", CARD,
           to(("layer", 0.3), ("smallest_wall", 0.2)),
           ("smallest_wall is 0.2 mm", "0.3 mm (layer)")),
    Untrue("a drain that is no hole", "PrinterCard.smallest_drain", CARD,
           to(("smallest_drain", 0.4), ("smallest_hole", 0.6)),
           ("smallest_drain is 0.4 mm", "0.6 mm (smallest_hole)")),
    Untrue("scatter beyond the gap", "PrinterCard.scatter", CARD,
           to(("scatter", 0.45), ("smallest_wall", 0.6)),
           ("smallest_gap is", "0.45 mm (scatter)")),
    Untrue("a bore that closes", "PrinterCard.inside_bias", CARD,
           to(("inside_bias", -0.7), ("smallest_hole", 0.5)),
           ("inside_bias is -0.7 mm", "smallest_hole, 0.5 mm")),
    Untrue("a pin of nothing", "PrinterCard.outside_bias", CARD,
           to(("outside_bias", 0.8), ("smallest_pin", 0.6)),
           ("outside_bias is 0.8 mm", "smallest_pin, 0.6 mm")),
    Untrue("a foot below a layer", "PrinterCard.foot_height", CARD,
           to(("foot_height", 0.01), ("layer", 0.05)),
           ("foot_height is 0.01 mm", "0.05 mm", "foot_spread")),
    Untrue("scatter beyond the wall", "PrinterCard.smallest_wall", CARD,
           to(("scatter", 0.3), ("smallest_wall", 0.2)),
           ("smallest_wall is 0.2 mm", "0.3 mm (scatter)")),
    Untrue("a gap below a layer", "PrinterCard.smallest_gap", CARD,
           to(("layer", 0.3), ("smallest_gap", 0.2), ("scatter", 0.02)),
           ("smallest_gap is 0.2 mm", "0.3 mm (layer)")),
    Untrue("a price in nothing", "PrinterCard.currency", CARD,
           to(("resin_price", 40.0), ("currency", "")), ("resin_price is 40", "currency is ''")),
    Untrue("an origin of no figure", "PrinterCard.origins", CARD,
           to("origins", {"pixle": "counted"}), ("origins holds 'pixle'", "'pixel'")),
    Untrue("a card without a name", "PrinterCard.name", CARD, to("name", "\u200b"),
           ("name is ''", "U+200B", "can be seen")),
)  # fmt: skip

ROUND, HANDS, CHRONOGRAPH = (
    "round inv-26-a ",
    "hand-setting inv-26-a hand-setting",
    ("chronograph inv-30-c chronograph-hands"),
)
WORKS, CASE = "cradle inv-26-a ", "case inv-case-38 "


def part_of(data: Data, kind: str) -> Data:
    """The first part of a kind."""
    found: Data = next(each for each in data["parts"] if each["part"] == kind)
    return found


RECIPES = (
    Untrue("a workpiece that cannot be", "Recipe.workpiece", ROUND,
           to("workpiece", "rests", 0, "height", 2.4), ("'barrel bridge'", "height is 2.4 mm")),
    Untrue("a card that cannot be", "Recipe.printer", ROUND,
           to(("printer", "pixel", 0.4), ("printer", "smallest_hole", 0.3),
              ("printer", "smallest_gap", 0.5), ("printer", "smallest_line", 0.5)),
           ("smallest_hole is 0.3 mm", "(pixel)")),
    Untrue("a recipe without a name", "Recipe.name", ROUND, to("name", " "), ("name is ' '",)),
    Untrue("a day that is none", "Recipe.date", ROUND, to("date", "yesterday"),
           ("date is 'yesterday'", "year-month-day")),
    Untrue("an operation of no name", "Recipe.operation", ROUND, to("operation", "name", " "),
           ("operation.name is ' '", "can be seen")),
    Untrue("least above most in a recipe", "Recipe.operation", HANDS,
           to("operation", "presses", [press(least=30, most=10)]),
           ("presses[0]", "least is 30 N", "10 N")),
    Untrue("the works of another", "Recipe.operation", WORKS,
           to("operation", "on", "INV 30-T auto works"),
           ("operation.on is 'INV 30-T auto works'", "'INV 26-A auto works'")),
    Untrue("a post under nothing", "StakePost.under", HANDS,
           lambda d: part_of(d, "stake post").update(under="no such arbor"),
           ("parts[", "'no such arbor'", "there is")),
    Untrue("a post under the side that is up", "StakePost.under", HANDS,
           lambda d: part_of(d, "stake post").update(under="plate edge above"),
           ("parts[", "'plate edge above'", "dial side")),
    Untrue("a slot for no pusher", "PusherSlot.pusher", CHRONOGRAPH,
           lambda d: part_of(d, "pusher slot").update(pusher="flyback"),
           ("parts[", "'flyback'", "start and stop")),
    Untrue("room for what is not there", "Relief.of", CASE,
           lambda d: part_of(d, "relief").update(of="lug 5"), ("parts[", "'lug 5'", "4 of these")),
    Untrue("room for a spring that is not there", "Relief.of", ROUND,
           more("parts", [{"part": "relief", "of": "yoke spring"}]),
           ("parts[", "no keep-clear named 'yoke spring'")),
    Untrue("a slot for no stem", "StemSlot", HANDS, lambda d: d["workpiece"].pop("stem"),
           ("parts[", "no stem")),
    Untrue("one post twice", "Recipe.parts", HANDS,
           lambda d: d["parts"].append(part_of(d, "stake post")),
           ("parts[", "stake post", "one part is allowed")),
    Untrue("one vent twice", "Recipe.parts", ROUND,
           lambda d: d["parts"].append(part_of(d, "vent")), ("parts[", "vent", "one part")),
    Untrue("a pusher worked by two", "Recipe.parts", CHRONOGRAPH,
           more("parts", [{"part": "plunger", "pusher": "start and stop"}]),
           ("parts[", "plunger", "one part is allowed")),
    Untrue("two seats", "Recipe.parts", ROUND, more("parts", [{"part": "cradle"}]),
           ("parts[", "cradle", "ring seat", "one part")),
    Untrue("a slot for the stem twice", "Recipe.parts", HANDS,
           more("parts", [{"part": "stem slot", "neck": 3.0}]),
           ("parts[", "stem slot", "one part")),
    Untrue("a mark on the notch at noon", "Recipe.parts", ROUND,
           more("parts", [{"part": "mark", "text": "A", "at": 12.0}]),
           ("parts[", "mark 'A'", "12 h notch", "one part")),
    Untrue("a mould that is no mould", "Recipe.kind", CASE,
           to("kind", "cushion mould"), ("kind is cushion mould", "none", "has one")),
    Untrue("a mould in a holder", "Recipe.kind", CASE,
           lambda d: d["parts"].__setitem__(0, {"part": "mould"}),
           ("kind is case holder", "any other holder none")),
    Untrue("a body lower than its seat", "Body.height", ROUND, to("body", "height", 3.0),
           ("body.height is 3 mm", "higher than that")),
    Untrue("a chamfer through the wall", "Body.foot_chamfer", ROUND,
           to(("body", "wall", 2.0), ("body", "foot_chamfer", 2.0)),
           ("body.foot_chamfer is 2 mm", "body.wall is 2 mm")),
    Untrue("an edge chamfer through the wall", "Body.edge_chamfer", ROUND,
           to(("body", "wall", 2.0), ("body", "edge_chamfer", 2.0)),
           ("body.edge_chamfer is 2 mm", "body.wall is 2 mm")),
    Untrue("chamfers higher than the body", "Body.edge_chamfer", "cradle inv-tc-12 ",
           to(("body", "foot_chamfer", 2.0), ("body", "edge_chamfer", 2.0), ("body", "floor", 0.0),
              ("body", "under", 0.0), ("body", "depth", 0.2)),
           ("body.foot_chamfer and body.edge_chamfer are 2 and 2 mm", "less than that")),
)  # fmt: skip

CARDS_LIVE_WITH = (
    Untrue("a peel beyond the plate", "PrinterCard.largest_peel", CARD, to("largest_peel", 90000.0),
           ("largest_peel is 90000 mm²", "8160 mm²")),
)  # fmt: skip
CARDS_UNLOOKED = (
    Untrue("a currency without a price", "PrinterCard.currency", CARD, to("currency", "EUR"),
           ("currency is 'EUR'", "no resin_price")),
)  # fmt: skip
