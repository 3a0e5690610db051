"""Names for the arrays of this package."""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Integers: TypeAlias = NDArray[np.int64]
Flags: TypeAlias = NDArray[np.bool_]
