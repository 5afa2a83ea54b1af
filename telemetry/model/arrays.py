"""Arrays inside frozen data types: copied where needed, contiguous and read-only."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt

Floats: TypeAlias = npt.NDArray[np.float64]
Ints: TypeAlias = npt.NDArray[np.int64]
Complexes: TypeAlias = npt.NDArray[np.complex128]
Bools: TypeAlias = npt.NDArray[np.bool_]


def read_only(array: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Return a contiguous read-only view of `array`, copied only if its memory layout needs it."""
    view = np.ascontiguousarray(array).view()
    view.flags.writeable = False
    return view


def joined(parts: Sequence[npt.NDArray[Any]]) -> npt.NDArray[Any]:
    """Return arrays end to end; a single one as it stands, without a copy."""
    return parts[0] if len(parts) == 1 else np.concatenate(parts)
