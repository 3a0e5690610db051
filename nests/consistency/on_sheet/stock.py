"""What plate and bridges are made of, and where they are thinner."""

from __future__ import annotations

from collections.abc import Iterator

from nests.consistency._looked import HAIR, MEMORY, SPECK, Looked, beyond, shared
from nests.finding import Finding
from nests.given.sheet import PlateStock

MATERIALS: dict[str, tuple[float, float, float, float]] = {
    "brass": (85_000.0, 125_000.0, 0.28, 0.40),
    "nickel silver": (110_000.0, 150_000.0, 0.28, 0.40),
    "bronze": (85_000.0, 135_000.0, 0.28, 0.40),
    "steel": (180_000.0, 220_000.0, 0.24, 0.34),
    "stainless steel": (180_000.0, 220_000.0, 0.24, 0.34),
    "titanium": (95_000.0, 125_000.0, 0.28, 0.40),
    "aluminium": (60_000.0, 85_000.0, 0.28, 0.38),
    "gold": (65_000.0, 125_000.0, 0.34, 0.46),
    "silver": (65_000.0, 95_000.0, 0.33, 0.42),
    "platinum": (140_000.0, 200_000.0, 0.34, 0.44),
}
"""Young's modulus in MPa and Poisson's ratio, least and most of each over all alloys; from memory,
and wide on purpose: only what cannot be meant is refused."""
WHOLE = 0.99
"""Share of the outline that a recess may take before it is the plate itself."""


def look(looked: Looked) -> Iterator[Finding]:
    """Plate and bridges."""
    for field in ("plate", "bridges"):
        stock: PlateStock = getattr(looked.sheet, field)
        yield from _material(looked, field, stock)
        yield from _recesses(looked, field, stock)


def _material(looked: Looked, field: str, stock: PlateStock) -> Iterator[Finding]:
    known = MATERIALS.get(stock.material.strip().casefold())
    if not stock.material.strip():
        yield looked.stop(f"{field}.material is '{stock.material}'; a name is needed.", "name it")
    elif known is None:
        yield looked.unlooked(
            f"{field}.material is '{stock.material}', which is not known here, so its modulus, "
            f"{stock.modulus:g} MPa, and poisson, {stock.poisson:g}, were compared with nothing; "
            f"known are {', '.join(MATERIALS)}.",
            "take both from a data sheet",
        )
    else:
        for name, value, low, high, unit in (
            ("modulus", stock.modulus, *known[:2], " MPa"),
            ("poisson", stock.poisson, *known[2:], ""),
        ):
            if not low <= value <= high:
                yield looked.stop(
                    f"{field}.{name} is {value:g}{unit}, but {field}.material is "
                    f"'{stock.material}', of which {low:g} to {high:g}{unit} is known ({MEMORY}).",
                    f"give the {name} of that material", origin=MEMORY, value=value,
                    limit=low if value < low else high, unit=unit.strip(),
                )  # fmt: skip


def _recesses(looked: Looked, field: str, stock: PlateStock) -> Iterator[Finding]:
    if stock.recesses and stock.thickness is None:
        yield looked.unlooked(
            f"{field}.recesses has {len(stock.recesses)}, but {field}.thickness is not given, so "
            "how far they weaken it is not known.",
            f"measure {field}.thickness",
        )
    for number, recess in enumerate(stock.recesses):
        name, here = f"{field}.recesses[{number}]", looked.area(recess.zone)
        if stock.thickness is not None and recess.thickness >= stock.thickness - HAIR:
            yield looked.stop(
                f"{name}.thickness is {recess.thickness:g} mm; what is left there is less than "
                f"{field}.thickness, {stock.thickness:g} mm.",
                value=recess.thickness, limit=stock.thickness,
            )  # fmt: skip
        if beyond(here, looked.within()) > SPECK:
            yield looked.stop(f"{name}: its zone lies outside the outline, and none of it may.")
        elif shared(here, looked.plan) > WHOLE * looked.plan.area():
            yield looked.stop(
                f"{name}: its zone takes the whole outline; what is left of {field} is nothing.",
                f"give {field}.thickness as it is there",
            )
