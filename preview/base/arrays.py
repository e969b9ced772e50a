"""Names for the arrays that go from room to room."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating[Any]]
"""Numbers of any precision; what is handed in as float32 comes out as float32."""

Float32 = NDArray[np.float32]
Bytes = NDArray[np.uint8]
"""A picture: grey ``(rows, columns)`` or RGB ``(rows, columns, 3)``, sRGB, row 0 on top."""

Mask = NDArray[np.bool_]
