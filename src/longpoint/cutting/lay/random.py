"""Random numbers of the search: small, compiled, the same on every machine."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from longpoint.compiling import compiled

Ints = NDArray[np.int64]


@compiled
def draw(state: Ints) -> int:
    """Next random number (xorshift).

    Args:
        state: Random state, shape (1,), not 0; changed.

    Returns:
        A whole number from 0 to 2⁶² − 1.
    """
    x = int(state[0])
    x ^= (x << 13) & 0x7FFFFFFFFFFFFFFF
    x ^= x >> 7
    x ^= (x << 17) & 0x7FFFFFFFFFFFFFFF
    state[0] = x
    return x >> 1


@compiled
def draw_below(state: Ints, top: int) -> int:
    """Random whole number below ``top``.

    Returns:
        From 0 to top − 1.
    """
    return draw(state) % top
