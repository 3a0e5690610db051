"""Interference fit of a pin, jewel or bush in a ring: Lamé pressure, stresses, push-out force.

Source: G. Lamé's thick cylinder, as in R. G. Budynas, J. K. Nisbett, *Shigley's Mechanical
Engineering Design*, sections on press and shrink fits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class PressFit:
    """A pin in the bore of a ring.

    Lengths mm, moduli and strength MPa. `interference` is diametral, as made; `bore` the common
    diameter; `outer` the diameter of the ring (distance to the nearest edge, doubled, if it is a
    plate); `length` of the contact; `yield_strength` of the ring, inf if it never yields; `hollow`
    the inner diameter of the pin. Raises ValueError if the diameters do not nest.
    """

    interference: float
    bore: float
    outer: float
    length: float
    friction: float
    modulus: float
    poisson: float
    pin_modulus: float
    pin_poisson: float
    yield_strength: float = math.inf
    hollow: float = 0.0

    def __post_init__(self) -> None:
        """Refuse diameters that do not nest."""
        if not 0 <= self.hollow < self.bore < self.outer:
            raise ValueError("a press fit needs hollow < bore < outer")

    @property
    def elastic_pressure(self) -> float:
        """Pressure (MPa) if nothing yields; 0 without interference."""
        bore2, outer2, hollow2 = self.bore**2, self.outer**2, self.hollow**2
        ring = ((outer2 + bore2) / (outer2 - bore2) + self.poisson) / self.modulus
        pin = ((bore2 + hollow2) / (bore2 - hollow2) - self.pin_poisson) / self.pin_modulus
        return max(self.interference, 0.0) / (self.bore * (ring + pin))

    @property
    def yield_pressure(self) -> float:
        """Pressure (MPa) at which the ring begins to yield at its bore, after von Mises.

        Plane stress: hoop p (D² + d²)/(D² - d²), radial -p.
        """
        bore2, outer2 = self.bore**2, self.outer**2
        return self.yield_strength * (outer2 - bore2) / math.sqrt(3 * outer2**2 + bore2**2)

    @property
    def yields(self) -> bool:
        """Whether the ring yields."""
        return self.elastic_pressure > self.yield_pressure

    @property
    def pressure(self) -> float:
        """Pressure (MPa), capped at first yield of the ring.

        The cap is on the safe side for holding: while the yielded zone grows the pressure still
        rises, at most to that at which the whole ring flows.
        """
        return min(self.elastic_pressure, self.yield_pressure)

    @property
    def push_out_force(self) -> float:
        """Axial force (N) at which the pin slides: µ p π d L."""
        return self._force(self.pressure)

    def _force(self, pressure: float) -> float:
        return self.friction * pressure * math.pi * self.bore * self.length
