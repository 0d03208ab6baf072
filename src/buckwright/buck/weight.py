"""Where the buck's weight acts: wires, members and posts as the slender bars that they are."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckwright.model.buck import FrameMember, Post, Wire

__all__ = ["centre_of_gravity"]

Array = NDArray[np.float64]


def centre_of_gravity(
    wires: Sequence[Wire], members: Sequence[FrameMember], posts: Sequence[Post]
) -> Array:
    """(3,) centre of mass, mm.

    A wire counts along its axis, a straight part in the middle of its axis: exact for a rod of
    even section, and for a tube whose ends are cut in parallel or square.
    Raises ValueError for a buck of nothing.
    """
    parts = [(wire.mass, _middle_of_wire(wire)) for wire in wires]
    parts += [(member.mass, 0.5 * (member.start + member.end)) for member in members]
    parts += [(post.mass, 0.5 * (post.start + post.end)) for post in posts]
    if not parts:
        message = "nothing has no centre of gravity"
        raise ValueError(message)
    masses, places = zip(*parts, strict=True)
    return np.asarray(np.average(np.array(places), axis=0, weights=np.array(masses)))


def _middle_of_wire(wire: Wire) -> Array:
    axis = np.vstack([wire.axis, wire.axis[:1]]) if wire.closed else wire.axis
    steps = np.linalg.norm(np.diff(axis, axis=0), axis=1)
    return np.asarray(np.average(0.5 * (axis[1:] + axis[:-1]), axis=0, weights=steps))
