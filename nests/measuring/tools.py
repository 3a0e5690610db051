"""Tools of the bench, as the questions name them; see `nests.given.tools`."""

from nests.given.tools import BALANCE, CALIPER, DEPTH_GAUGE, EYE, TOOLS

__all__ = ["BALANCE", "CALIPER", "DEPTH_GAUGE", "EYE", "TOOLS"]
