"""The printer card: what one printer with one resin does."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields

from nests.finding import PRACTICE
from nests.units import Length, Record, described, mm, quantity, said

REPLACE = "from memory; replace it by your data sheet"
UNKNOWN = "unknown"
"""Begins the origin of a figure that nobody measured or took from anywhere: it stands in only."""
TIE = 1e-3
"""Share of a layer by which a layer is cut above its middle, so that a face drawn exactly there,
with the noise of its file, is not cut along itself."""


@dataclass(frozen=True, kw_only=True)
class PrinterCard(Record):
    """What one printer with one resin does; every figure keeps its origin."""

    name: str = said("name of the printer and resin", "unmeasured printer")
    pixel: Length = mm(0.05, low=0.005, high=0.5, meaning="edge of a pixel", origin=PRACTICE)
    layer: Length = mm(0.05, low=0.005, high=0.3, meaning="height of a layer", origin=PRACTICE)
    inside_bias: Length = mm(
        0.0, low=-1.0, high=1.0, meaning="printed minus drawn ⌀ of bores", origin="not measured"
    )
    inside_bias_slope: float = quantity(
        "mm per mm", 0.0, -0.05, 0.05, "change of that with the ⌀ drawn", "not measured"
    )
    outside_bias: Length = mm(
        0.0, low=-1.0, high=1.0, meaning="printed minus drawn ⌀ of pins", origin="not measured"
    )
    outside_bias_slope: float = quantity(
        "mm per mm", 0.0, -0.05, 0.05, "change of that with the ⌀ drawn", "not measured"
    )
    height_bias: Length = mm(
        0.0, low=-1.0, high=1.0, meaning="printed minus drawn height", origin="not measured"
    )
    height_bias_slope: float = quantity(
        "mm per mm", 0.0, -0.05, 0.05, "change of that with the height drawn", "not measured"
    )
    inside_bias_apart: Length = mm(
        0.0, low=-0.5, high=0.5, meaning="bias of bores in x less that in y", origin="not measured"
    )
    inside_slope_apart: float = quantity(
        "mm per mm", 0.0, -0.05, 0.05, "change of that with the ⌀ drawn", "not measured"
    )
    outside_bias_apart: Length = mm(
        0.0, low=-0.5, high=0.5, meaning="bias of pins in x less that in y", origin="not measured"
    )
    outside_slope_apart: float = quantity(
        "mm per mm", 0.0, -0.05, 0.05, "change of that with the ⌀ drawn", "not measured"
    )
    scatter: Length = mm(
        0.03, low=0.0, high=0.5, meaning="scatter of a printed length, ±", origin=PRACTICE
    )
    smallest_wall: Length = mm(
        0.6, low=0.05, high=5.0, meaning="thinnest wall that stands", origin=PRACTICE
    )
    smallest_gap: Length = mm(
        0.3, low=0.02, high=5.0, meaning="narrowest gap that stays open", origin=PRACTICE
    )
    smallest_hole: Length = mm(
        0.5, low=0.05, high=5.0, meaning="smallest bore that stays open", origin=PRACTICE
    )
    smallest_pin: Length = mm(
        0.6, low=0.05, high=5.0, meaning="thinnest pin that stands", origin=PRACTICE
    )
    smallest_line: Length = mm(
        0.25, low=0.02, high=2.0, meaning="finest line that shows", origin=PRACTICE
    )
    smallest_drain: Length = mm(
        1.0, low=0.2, high=10.0, meaning="smallest opening resin drains through", origin=PRACTICE
    )
    overhang: float = quantity(
        "degree", 45.0, 5.0, 80.0, "steepest lean of an underside from upright", PRACTICE
    )
    longest_underside: Length = mm(
        0.5, low=0.0, high=10.0, meaning="longest level underside held at one end", origin=PRACTICE
    )
    largest_cup: float = quantity(
        "mm³", 20.0, 0.0, 1e5, "largest closed cup that may face the film", PRACTICE
    )
    largest_peel: float = quantity(
        "mm²", 3000.0, 10.0, 1e5, "largest area to be peeled off the film at once", PRACTICE
    )
    foot_height: Length = mm(
        0.3, low=0.0, high=5.0, meaning="height of the first layers that spread", origin=PRACTICE
    )
    foot_spread: Length = mm(
        0.15, low=0.0, high=2.0, meaning="how far the first layers spread", origin=PRACTICE
    )
    build_x: Length = mm(120.0, low=10.0, high=1000.0, meaning="build plate, x", origin=PRACTICE)
    build_y: Length = mm(68.0, low=10.0, high=1000.0, meaning="build plate, y", origin=PRACTICE)
    build_z: Length = mm(150.0, low=10.0, high=1000.0, meaning="build height", origin=PRACTICE)
    modulus: float = quantity(
        "MPa",
        1660.0,
        100.0,
        20_000.0,
        "Young's modulus, cured",
        "Appl. Mech. 2025 6(3) 71, vertical, 60 min post-cure",
    )
    poisson: float = quantity("", 0.38, 0.0, 0.49, "Poisson's ratio, cured", REPLACE)
    creep_factor: float = quantity("", 0.4, 0.05, 1.0, "E after 1000 h over E at once", REPLACE)
    strain_limit: float = quantity("", 0.015, 0.001, 0.2, "strain for repeated bending", REPLACE)
    friction: float = quantity("", 0.3, 0.0, 1.5, "friction against metal", REPLACE)
    density: float = quantity("g/cm³", 1.15, 0.5, 3.0, "density, cured", REPLACE)
    layer_time: float = quantity("s", 12.0, 0.5, 300.0, "time of one layer, peel and all", REPLACE)
    resin_price: float | None = quantity(
        "per litre", None, 0.0, 10_000.0, "price of the resin, in `currency`", "not given"
    )
    currency: str = said("currency of the price", "")
    resin_left: float | None = quantity(
        "ml", None, 0.0, 100_000.0, "resin left in the bottle", "not given"
    )
    origins: Mapping[str, str] = field(
        default_factory=dict, metadata=described("where a figure comes from, by field", lines=True)
    )
    uncertainties: Mapping[str, float] = field(
        default_factory=dict,
        metadata=described("± of a measured figure that holds 95 %, in its own unit, by field"),
    )
    readings: Mapping[str, int] = field(
        default_factory=dict,
        metadata=described("how many readings a measured figure was taken from, by field"),
    )
    correlations: Mapping[str, float] = field(
        default_factory=dict,
        metadata=described("correlation of a measured bias with its slope, by field of the bias"),
    )

    def inside(self, wanted: Length) -> Length:
        """⌀ to draw so that a bore comes out at `wanted`."""
        return (wanted - self.inside_bias) / (1.0 + self.inside_bias_slope)

    def comes_out(self, drawn: Length) -> Length:
        """⌀ at which a drawn bore comes out; `inside` is the inverse."""
        return drawn * (1.0 + self.inside_bias_slope) + self.inside_bias

    def outside(self, wanted: Length) -> Length:
        """⌀ to draw so that a pin comes out at `wanted`."""
        return (wanted - self.outside_bias) / (1.0 + self.outside_bias_slope)

    def stands_out(self, drawn: Length) -> Length:
        """⌀ or width at which a drawn pin comes out; `outside` is the inverse."""
        return drawn * (1.0 + self.outside_bias_slope) + self.outside_bias

    def oval(self, drawn: Length) -> Length:
        """By how much a bore comes out narrower one way and wider the other than its mean: half of
        what x and y differ by.

        Bores are drawn round all the same, and this is counted as room that is lost or gained. An
        oval drawn against it would be right only as long as the print lies as it was drawn: plates
        turn bodies by quarters, as do people, and turned by one it would be twice as oval as a
        round bore. Nor would a turner's half-profile or a bore read at three hours mean anything.

        On a seat of 26 mm with a play of 0.10 mm, a scatter of ± 24 µm, a bias known to ± 16 µm and
        a rim measured to ± 20 µm, x and y may differ by 80 µm before a rim can jam at all. With a
        play of 0.05 mm 0.27 % jam where they are alike, and 0.9, 2.2, 7.3, 32 % where they differ
        by 10, 20, 40, 80 µm: then a larger play is the cure. What is common is not known.
        """
        return abs(self.inside_bias_apart + self.inside_slope_apart * drawn) / 2

    def bore_doubt(self, drawn: Length) -> Length:
        """± by which a ⌀ read in any direction may be off `comes_out`, as well as the bias was
        measured: what holds 95 %, and `oval`. 0 for a card that was not measured."""
        return self._either_way("inside", drawn) + self.oval(drawn)

    def pin_doubt(self, drawn: Length) -> Length:
        """± by which a pin or an outer width read in any direction may be off `stands_out`, as
        `bore_doubt` says of a bore."""
        apart = self.outside_bias_apart + self.outside_slope_apart * drawn
        return self._either_way("outside", drawn) + abs(apart) / 2

    def _either_way(self, sort: str, drawn: Length) -> Length:
        """± of a bias along x or along y that holds 95 %: that of their mean, and half of what
        both are known to differ by, which was found from the same readings but is independent of
        it (JCGM 100:2008, 5.1.2)."""
        apart = self.uncertainties.get(f"{sort}_bias_apart", 0.0)
        by_size = self.uncertainties.get(f"{sort}_slope_apart", 0.0) * drawn
        return math.hypot(self.doubt(f"{sort}_bias", drawn), apart / 2, by_size / 2)

    def outward(self, across: Length) -> Length:
        """How far an outer face of something up to `across` mm wide may come out beyond the drawn
        one, mm: half of what pins have more, as well as that is known. Negative where all of them
        fall short of what is drawn."""
        drawn = (0.0, across)  # between them it bends down, if at all
        return max(self.stands_out(d) - d + self.pin_doubt(d) for d in drawn) / 2

    def inward(self, across: Length) -> Length:
        """How far the face of a bore up to `across` mm wide may come out inside the drawn one, as
        `outward` says of outer faces."""
        drawn = (0.0, across)
        return max(d - self.comes_out(d) + self.bore_doubt(d) for d in drawn) / 2

    def doubt(self, bias: str, at: Length) -> Length:
        """± of a bias with its slope at a drawn size that holds 95 %, JCGM 100:2008, 5.2.2; 0 where
        neither was measured. `bias` is the name of its field."""
        own = self.uncertainties.get(bias, 0.0)
        by_size = self.uncertainties.get(f"{bias}_slope", 0.0) * at
        together = 2.0 * self.correlations.get(bias, 0.0) * own * by_size
        return math.sqrt(max(own * own + by_size * by_size + together, 0.0))

    def upright(self, wanted: Length) -> Length:
        """Height to draw so that one level face comes out at `wanted` above another. What all
        heights are off alike, `height_bias`, stays: it lifts workpiece and posts together, and
        nothing but the foot could be drawn against it. `stands` is the inverse, but for both."""
        return wanted / (1.0 + self.height_bias_slope)

    def stands(self, drawn: Length) -> Length:
        """Height above the plate at which a level face comes out: whole layers, see `layers_to`,
        and as much too high as all heights are."""
        layers = layers_to(drawn, self.layer) * self.layer
        return layers * (1.0 + self.height_bias_slope) + self.height_bias

    def level_error(self, height: Length, drawn_by: PrinterCard | None = None) -> Length:
        """Printed minus wanted height of a level face, drawn by this card or by another."""
        return self.stands((drawn_by or self).upright(height)) - height

    def height_doubt(self, height: Length, above: Length) -> Length:
        """± that holds 95 % of the height of one printed face above another: what both are off
        alike is gone, and the slope is left over the way between them."""
        return self.uncertainties.get("height_bias_slope", 0.0) * abs(height - above)

    @property
    def least_foot(self) -> Length:
        """Chamfer of an edge at the plate that keeps the first layers from standing out.

        The first layer is cut at half its height, where the chamfer is half a layer less.
        """
        return self.foot_spread + self.layer

    def origin(self, name: str) -> str:
        """Where a figure of this card comes from."""
        if name in self.origins:
            return self.origins[name]
        about = next(each for each in fields(self) if each.name == name)
        return str(about.metadata["quantity"].origin)


def layers_to(height: Length, layer: Length) -> int:
    """How many layers are printed of what stands `height` mm on the plate: layers are cut at
    mid-height.

    A layer is printed when the solid reaches its middle, so a level face comes out at the nearest
    whole number of layers, a tie going down.
    """
    return math.ceil(height / layer - 0.5 - TIE)


def rounding(height: Length, layer: Length) -> Length:
    """Printed minus drawn height of a level face by whole layers alone, see `layers_to`."""
    return layers_to(height, layer) * layer - height
