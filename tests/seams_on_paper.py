"""A wing with lines on it, and an executor that works at once, for tests of the seam search."""

from collections.abc import Callable
from concurrent.futures import Executor, Future
from typing import Any

import numpy as np

from buckwright.model.panels import SheetStock
from buckwright.model.skin import LineTrack, Skin
from discs_on_paper import as_skin, ring_disc, wing

__all__ = ["SHEET", "AtOnce", "wing_with_lines"]

SHEET = SheetStock(alloy="3003-H14", thickness=1.27)


class AtOnce(Executor):
    """Does each piece of work where it is asked for."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> "Future[Any]":
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


def wing_with_lines(rings: int) -> Skin:
    """The wing of `discs_on_paper`, its crown and its section being lines of it."""
    skin = as_skin(wing(rings), "front wing")
    disc, _ = ring_disc(rings)
    region = skin.regions[0]
    crown = np.flatnonzero(np.abs(disc[:, 1]) < 1e-9)
    # Along the other axis of a six-sided grid there is no straight row of edges.
    tracks = (
        LineTrack(
            line="front wing crown", vertices=crown[np.argsort(disc[crown, 0])], closed=False
        ),
    )
    return Skin(regions=(region.model_copy(update={"inner": tracks}),))
