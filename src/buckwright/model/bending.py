"""How one rod is bent: the table that a person with a bender follows, and how hard it pushes."""

from typing import Literal

from buckwright.model.fact import Fact, Numbers

__all__ = ["Bending", "Push", "RodPiece"]


class RodPiece(Fact):
    """One row of the table: a straight, or an arc, in order from the rod's end 0.

    Radii are to the rod's axis.
    """

    start: float
    """mm along the rod from its end 0."""
    length: float
    """mm along the axis; bending does not change it."""
    radius: float
    """mm after the bender has let go; 0 for a straight."""
    rotation_deg: float
    """Turn of the rod about itself since the arc before: clockwise, looking from end 0 along the
    run."""
    turn_deg: float
    """Change of direction after the bender has let go."""
    form_radius: float = 0.0
    """mm to bend to so that it springs back to `radius`; 0 for a straight or a sprung rod."""
    form_turn_deg: float = 0.0
    """Change of direction in the bender, before it lets go."""


class Push(Fact):
    """What a sprung rod does at one place where it is held."""

    at: float
    """mm along the rod from its end 0."""
    held_by: tuple[str, ...]
    """Wires and posts."""
    force: float
    """N."""
    direction: Numbers
    """(3,) unit, in which the rod pushes what holds it."""
    words: str
    """The same in words: 'up', 'left and down'."""


class Bending(Fact):
    """The bend table of a wire and what it means for the shop."""

    pieces: tuple[RodPiece, ...]
    start: Numbers
    """(3,) where end 0 is."""
    along: Numbers
    """(3,) unit, the direction of the rod there."""
    towards: Numbers
    """(3,) unit, to where the first arc bends, square to `along` as it is at the start."""
    off: float
    """mm, the greatest distance between the wire's axis and a rod bent by the table."""
    off_plane: float
    """mm, the farthest that the axis leaves its best plane."""
    way: Literal["straight", "sprung", "bent"]
    words: str
    """What to do with it, in one sentence."""
    elastic_radius: float
    """mm; a gentler curve leaves no set in the rod."""
    bender_radius: float
    """mm, the least that the bender makes."""
    pushes: tuple[Push, ...] = ()
    """Of a sprung rod, in order along it."""
    stands_off: float = 0.0
    """mm, the farthest that a sprung rod, held only where it is held, lies from its place."""
    stands_off_at: float = 0.0
    """mm along the rod where it does."""
