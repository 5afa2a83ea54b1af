"""Which samples of a ride are looked at where some of them tell as much as all."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Ints

ROWS_LOOKED_AT = 50_000


def looked_at(riding: Bools) -> Ints:
    """Return samples of riding time, evenly thinned to 50 000 to 100 000 where there are more.

    Parameters
    ----------
    riding : bool array, shape (n,)

    Returns
    -------
    int array, shape (k,)
        Places in it, in order.

    Examples
    --------
    >>> import numpy as np
    >>> looked_at(np.array([True, False, True]))
    array([0, 2])
    """
    ridden = np.flatnonzero(riding)
    return ridden[:: max(1, ridden.shape[0] // ROWS_LOOKED_AT)]
