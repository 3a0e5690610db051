"""What leaves a workpiece sideways, and where it is held there: stem and crown, pushers, lugs."""

from __future__ import annotations

from dataclasses import dataclass

from nests.units import Hour, Length, Record, hour, mm, quantity, said


@dataclass(frozen=True, kw_only=True)
class Crown(Record):
    """The crown on the stem: it fills its ⌀ from the edge outward."""

    diameter: Length = mm(low=1.0, high=10.0, meaning="⌀ of the crown")
    home: Length = mm(
        low=0.3, high=12.0, meaning="how far its outer end stands out from the edge, pushed home"
    )
    drawn: Length | None = mm(
        None,
        low=0.3,
        high=15.0,
        meaning="the same, drawn out as far as it goes; none for home and the draw of the stem",
    )


@dataclass(frozen=True, kw_only=True)
class Stem(Record):
    """The winding stem."""

    hour: Hour = hour(3.0, meaning="hour at which the stem leaves")
    depth: Length = mm(low=-2.0, high=12.0, meaning="axis below the dial-side rim face")
    diameter: Length = mm(1.2, low=0.4, high=3.0, meaning="⌀ of the stem")
    draw: Length = mm(1.0, low=0.0, high=3.0, meaning="how far it is drawn to set the hands")
    crown: Crown | None = said("the crown, where it is on the stem", None)

    @property
    def crown_drawn(self) -> Length:
        """How far the crown stands out from the edge, drawn, in mm; 0 without a crown."""
        if self.crown is None:
            return 0.0
        return self.crown.home + self.draw if self.crown.drawn is None else self.crown.drawn


@dataclass(frozen=True, kw_only=True)
class Button(Record):
    """The button of a pusher, outside a case: it fills its ⌀ from the edge outward."""

    diameter: Length = mm(low=1.0, high=8.0, meaning="⌀ of the button")
    out: Length = mm(
        low=0.2, high=10.0, meaning="how far its outer end stands out from the edge, at rest"
    )


@dataclass(frozen=True, kw_only=True)
class Pusher(Record):
    """A pusher's operating lever at the edge of the movement."""

    name: str = said("name, unique on the sheet")
    hour: Hour = hour(meaning="hour at which it is pushed")
    depth: Length = mm(
        low=-2.0, high=12.0, meaning="middle of the lever below the dial-side rim face"
    )
    lever_radius: Length = mm(
        low=1.0, high=40.0, meaning="radius at which the lever is met, at rest"
    )
    travel: Length = mm(low=0.1, high=3.0, meaning="working travel of the lever")
    stop: Length | None = mm(
        None, low=0.1, high=5.0, meaning="travel at which the lever meets its stop"
    )
    force: float = quantity("N", 6.0, 0.1, 60.0, "force at full travel", "from memory; measure it")
    button: Button | None = said("its button, on a case", None)


@dataclass(frozen=True, kw_only=True)
class Lug(Record):
    """A lug of a case, or anything else that leaves the outline sideways."""

    hour: Hour = hour(meaning="hour at its middle")
    width: Length = mm(low=0.5, high=40.0, meaning="width across")
    reach: Length = mm(
        low=0.5, high=15.0, meaning="how far it stands out from the outline, measured along it"
    )
    towards: Hour | None = quantity(
        "h", None, 0.0, 12.0, "hour it points to, such as 12; none for straight out from the axis"
    )
    droop: Length | None = mm(
        None,
        low=-8.0,
        high=12.0,
        meaning="lowest point of its tip beyond the bridge-side rim face, towards the back; "
        "negative where it ends before that face",
    )
    thickness: Length | None = mm(
        None,
        low=0.3,
        high=20.0,
        meaning="from the lowest point of its tip to its highest point towards the dial; none for "
        "up to the dial-side rim face",
    )

    def dial_end(self, rim: Length) -> Length:
        """Highest point above the dial-side rim face, in mm, on a rim of that height."""
        return 0.0 if self.thickness is None else self.thickness - rim - (self.droop or 0.0)


@dataclass(frozen=True, kw_only=True)
class Flank(Record):
    """Where the flank of a case stands upright: there, and nowhere else, a wall can hold it."""

    from_depth: Length = mm(
        low=0.0, high=15.0, meaning="where it begins to be upright, below the dial-side rim face"
    )
    to_depth: Length = mm(
        low=0.0, high=15.0, meaning="where it ceases to be upright, below the dial-side rim face"
    )
