"""Snap clip: a finger of uniform section on a floor that gives, pulled at the tip of its hook.

The finger bends and shears, its root turns and slides in the floor, and what goes along it acts off
its middle: the rim meets it at the tip of its hook. Going in, that keeps the finger from opening;
coming out, it helps. The slope the rim slides on leans with the hook. The force at which it lets go
is told lower by `OFF` than computed, the force it goes in with and the strain of its root higher.

Sources: beams that shear, any text on strength of materials; the root after W. J. O'Donnell, *The
additional deflection of a cantilever due to the elasticity of the support*, J. Appl. Mech. 27
(1960) 461: 16.67/π M/(E b h²) on a support without end, under stress that stays linear; calibrated
by finite elements in plane stress on floors of 0.25 to 8 times the finger's thickness and Poisson's
ratios of 0.2 to 0.45 (tests/outside/test_mechanics_clip.py); friction and lead angle as in the
snap-fit design guides of the plastics trade.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

OFF = 0.015
"""Share by which what is computed is moved to the safe side: more than it was ever found off
(tests/outside/test_mechanics_clip.py)."""
TURNS = 4.88
"""Rotation of the root on a deep floor, times E b h²/M; own calibration, O'Donnell has 5.31."""
SLIDES = 12.0
"""How far the root slides in the floor, times E b/P; own calibration."""
SINKS = 1.6
"""How far the root is drawn out of the floor, times E b/W; own calibration."""


@dataclass(frozen=True, kw_only=True)
class Clip:
    """Finger of `length` up to the tip of its hook, `thickness` (in bending) and `width`, mm.

    The tip is `reach` mm off its face. It stands on a `floor` of that thickness on a rigid bench;
    0 is rigid. `modulus` in MPa, Poisson's ratio, `friction` against the workpiece; `lead_angle` of
    the slope met on insertion and `return_angle` of the slope met on removal, both in radians from
    the direction of insertion.
    """

    length: float
    thickness: float
    width: float
    modulus: float
    poisson: float
    reach: float
    floor: float
    friction: float
    lead_angle: float
    return_angle: float

    @property
    def arm(self) -> float:
        """From the middle of the finger to the tip of its hook, mm."""
        return self.thickness / 2 + self.reach

    def strain(self, deflection: float) -> float:
        """Largest strain at the root when the tip is bent aside by `deflection` mm, by nominal
        stress: going in or coming out, whichever is more, and never told too low."""
        ways = [self._goes(deflection, going_in, self.friction) for going_in in (True, False)]
        return (1 + OFF) * max(self._root(*way) for way in ways)

    def deflection(self, strain: float) -> float:
        """Tip deflection (mm) at which the root reaches `strain`."""
        low, high = 0.0, self.length
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if self.strain(middle) < strain else (low, middle)
        return low

    def bending_force(self, deflection: float) -> float:
        """Force (N) across the tip that bends it aside by itself."""
        return deflection / self._out

    def insertion_force(self, deflection: float) -> float:
        """Axial force (N) to push past the clip, never told too low; inf if it locks.

        A finger much wider than thick cannot narrow as it bends: at most E/(1 - ν²). What it gets
        steeper by counts twice.
        """
        force = self._goes(deflection, True, self.friction)[1]
        return (1 + 2 * OFF) / (1 - self.poisson**2) * force

    def removal_force(self, deflection: float) -> float:
        """Axial force (N) to pull back out; inf if the return angle locks."""
        return self._goes(deflection, False, self.friction)[1]

    def lets_go(self, overlap: float) -> float:
        """Axial force (N) at which it lets go of a rim it overlaps by so many mm, no friction.

        The last it holds is the tip of its hook, and its slope stands steeper by as much as the
        hook leans out.
        """
        return (1 - OFF) * self._goes(max(overlap, 0.0), False, 0.0)[1]

    def lets_go_upright(self, overlap: float) -> float:
        """The same were the slope to keep its angle, as in linear statics: not on the safe side."""
        slope = math.tan(self.return_angle)
        return (1 - OFF) * max(overlap, 0.0) / (self._out / slope + self._both)

    @property
    def rising_stiffness(self) -> float:
        """What it resists a rising rim with, N/mm, without friction.

        Its leaning hook turns the rise into bending: 1 N up is 1/tan(return angle) N aside.
        """
        aside = 1.0 / math.tan(self.return_angle)
        return (1 - OFF) / (aside**2 * self._out + 2 * aside * self._both + self._up)

    @property
    def locks(self) -> bool:
        """Whether no axial pull, however strong, frees the workpiece."""
        return math.isinf(ramp_factor(self.friction, self.return_angle))

    @property
    def _bending(self) -> float:
        """E I, N·mm²."""
        return self.modulus * self.width * self.thickness**3 / 12

    @property
    def _unit(self) -> float:
        """E b, N/mm."""
        return self.modulus * self.width

    @property
    def _turn(self) -> float:
        """Rotation of the root per moment, 1/(N·mm)."""
        deep = 1 - math.exp(-2.6 * self.floor / self.thickness)
        return TURNS * deep / (self._unit * self.thickness**2)

    @property
    def _skew(self) -> float:
        """Rotation of the root per force across it, 1/N, which is its slide per moment."""
        if self.floor <= 0.0:
            return 0.0
        deep = 0.78 - 1.2 * self.poisson - 0.8 * math.exp(-0.9 * self.floor / self.thickness)
        return deep / (self._unit * self.thickness)

    @property
    def _out(self) -> float:
        """How far the hook moves out per N outward, mm/N."""
        long = self.length
        shears = 1.2 * 2 * (1 + self.poisson) * long / (self._unit * self.thickness)
        slides = SLIDES / self._unit if self.floor > 0.0 else 0.0
        root = long**2 * self._turn + 2 * long * self._skew + slides
        return long**3 / (3 * self._bending) + shears + root

    @property
    def _both(self) -> float:
        """How far the hook moves out per N along the finger at its tip, and the reverse, mm/N."""
        bends = self.length**2 / (2 * self._bending)
        return self.arm * (bends + self.length * self._turn + self._skew)

    @property
    def _up(self) -> float:
        """How far the tip moves up per N there, mm/N."""
        sinks = SINKS / self._unit if self.floor > 0.0 else 0.0
        stretches = self.length / (self._unit * self.thickness) + sinks
        return self.arm**2 * (self.length / self._bending + self._turn) + stretches

    def _leans(self, across: float, along: float) -> float:
        """How far the hook leans out, rad, under N outward and N up at its tip."""
        by_force = self.length**2 / (2 * self._bending) + self.length * self._turn + self._skew
        by_moment = self.length / self._bending + self._turn
        return across * by_force + self.arm * along * by_moment

    def _goes(self, deflection: float, going_in: bool, friction: float) -> tuple[float, float, int]:
        """N across and along its tip when it is bent aside so far by what slides along it, and
        whether the latter goes in (-1) or out (1)."""
        sign = -1 if going_in else 1
        angle = self.lead_angle if going_in else self.return_angle
        leans = 0.0
        for _ in range(12):
            ramp = ramp_factor(friction, min(max(angle - sign * leans, 0.0), math.pi / 2))
            if math.isinf(ramp):
                return deflection / self._out, math.inf, sign
            opens = self._out + sign * ramp * self._both
            if opens <= 0.0:  # pushed so far off its middle that it shuts
                return deflection / self._out, math.inf, sign
            across = deflection / opens
            leans = self._leans(across, sign * ramp * across)
        return across, ramp * across, sign

    def _root(self, across: float, along: float, sign: int) -> float:
        """Nominal strain at the root."""
        if math.isinf(along):
            along = 0.0
        moment = across * self.length + sign * along * self.arm
        stretched = along / (self._unit * self.thickness)
        return abs(moment) * self.thickness / (2 * self._bending) + stretched


def ramp_factor(friction: float, angle: float) -> float:
    """Axial over transverse force on a slope: (µ + t)/(1 - µ t), with t the tangent of `angle`.

    inf if self-locking, which begins at µ t = 1. `angle` in radians, from 0 to a right angle.
    """
    slope = math.tan(angle)
    if angle >= math.pi / 2 or friction * slope >= 1.0:
        return math.inf
    return (friction + slope) / (1.0 - friction * slope)
