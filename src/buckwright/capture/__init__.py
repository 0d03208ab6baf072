"""From pictures to lines in space.

corners      corners of the mat in one picture, and the finder's half-pixel test
sharpness    how blurred a picture is, by the mat's own edges
groups       pictures sorted by camera, focal length and size
shoot        which heights and sides are missing, and what to photograph next
unseen       why the mat was not found in a picture
sightings    all corners as one table; the cameras and the mat fitted to them
start        plain calibration on the mat as drawn, wrong corners thrown out
cards        where the cards of a set lie, joined view by view
zoom         pictures taken at another zoom than the rest
priors       what is likely of lenses, their drift, and printed paper
bundle       the adjustment: lens, poses, drift and the mat's true shape together
placing      the mat's frame, the scale from its bars, the errors left in that frame
sureness     how sure the cameras are in that frame, errors that they share included
doubts       findings about cameras, mat and scale
calibration  the whole of it

band         the picture beside a path, laid out straight
profiles     where a tape or an edge lies across the path
snapping     a trace that runs from click to click along a tape or edge

views        traces as rays, evenly spaced marks
candidates   where a mark can lie in space, and how many views speak for it
chains       the best chain of candidates along every trace
threading    all chains on one rough thread
growing      a line grown along its traces from a stretch that is sure
firstfit     of several rough starts the one that explains most of the traces
curve        a cubic spline over its own length
feet         the point of the curve that a mark belongs to
fitting      the curve whose pictures run along the traces
refining     as many spans as the traces ask for
ends         where an open line ends
smoothing    how stiff the curve may be taken to be, direction by direction
wobble       the hand's wobble, learned from what the views disagree on
cameraerror  what the errors of the cameras do to a point
precision    standard errors and conditioning along the line
nextpicture  where to stand for the picture that a line wants most
tracedoubts  findings about a line
line         the whole of it
rims         the circle in space whose pictures run through the marks of a rim
points       single places: dots, and the middles of rims
"""

from buckwright.capture.calibration import calibrate, check_corners
from buckwright.capture.corners import check_corner_bias, check_finder, find_corners
from buckwright.capture.line import line_from_traces
from buckwright.capture.points import point_from_traces
from buckwright.capture.snapping import Snapped, snap_line, snap_stretches, touched_stretches

__all__ = [
    "Snapped",
    "calibrate",
    "check_corner_bias",
    "check_corners",
    "check_finder",
    "find_corners",
    "line_from_traces",
    "point_from_traces",
    "snap_line",
    "snap_stretches",
    "touched_stretches",
]
