"""From pictures to lines in space.

corners      corners of the mat in one picture, and the finder's half-pixel test
sightings    all corners as one table; the cameras and the mat fitted to them
start        plain calibration on the mat as drawn, wrong corners thrown out
bundle       the adjustment: lens, poses, drift and the mat's true shape together
placing      the mat's frame, the scale from its bars, the errors left in that frame
doubts       findings about cameras, mat and scale
calibration  the whole of it
"""

from buckwright.capture.calibration import calibrate
from buckwright.capture.corners import check_corner_bias, find_corners
from buckwright.capture.line import line_from_traces

__all__ = ["calibrate", "check_corner_bias", "find_corners", "line_from_traces"]
