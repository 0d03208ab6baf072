"""From single pictures and drawings to curves and lines, and from outlines to a hull.

squaring   one picture seen square on, by corners or vanishing points
piecing    pieces of a drawing laid beside each other by shared marks
placing    put to scale and into vehicle axes
standing   where the camera stood before the plane of scale
square     the whole of it
sheet      the pieces of a drawing as one sheet, and what they say of shared marks
rays       parallax, rays to another plane, crowns that turn away
curves     traced lines with their parallax band and doubt
twoviews   a line that two views show, set in space
giving     how far each view gives way so that all agree
joining    several views in one frame

outlines   what a camera sees of the body, and how far a place lies inside
hull       what all outlines leave of space, and lines held to them
"""

from buckwright.views.curves import view_curve, view_curves
from buckwright.views.joining import join_views
from buckwright.views.sheet import join_sheet
from buckwright.views.square import square_view

__all__ = ["join_sheet", "join_views", "square_view", "view_curve", "view_curves"]
