"""Finished documents of a handful of holders and jobs, read as a person reads them."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1] / "workshop")]
