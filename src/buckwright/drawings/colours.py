"""Colours for stretch and shrink: orange and violet from white, told apart by any eye."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["change_colours"]

Array = NDArray[np.float64]

_STRETCH, _SHRINK, _REST = np.array([0.85, 0.45, 0.05]), np.array([0.38, 0.27, 0.68]), np.ones(3)


def change_colours(change: Array, *, full: float | None = None) -> Array:
    """(m, 3) red, green, blue from 0 to 1 for signed changes (m,): orange larger, violet smaller.

    White is no change; the colour is whole at `full`, or at the greatest change where that is
    left out. Changes below a tenth of a percent stay white: they are the mesh's own.
    """
    most = float(np.abs(change).max(initial=0.0)) if full is None else full
    share = np.clip(np.abs(change) / max(most, 1e-3), 0.0, 1.0)[:, None]
    share = np.where(np.abs(change)[:, None] < 1e-3, 0.0, share)
    end = np.where(change[:, None] > 0.0, _STRETCH, _SHRINK)
    return np.asarray(_REST + share * (end - _REST))
