"""Lines drawn back into a photograph: what the camera cannot see is left out."""

import numpy as np

from against.test_sections import camera, placement
from buckwright.capture.drawnback import line_on_picture, lines_on_picture, picture_points
from buckwright.geometry.camera import camera_centre
from buckwright.geometry.spline import even_knots
from buckwright.model.lines import Line


def straight(start, end, name="line"):
    """From start to end on the mat, as a line at full size."""
    laid = placement()
    share = np.linspace(0.0, 1.0, 6)[:, None]
    mat = np.asarray(start) * (1.0 - share) + np.asarray(end) * share
    control = laid.scale * (mat - laid.origin) @ laid.rotation.T
    knots = even_knots(6, 3, 0.0, 1.0, closed=False)
    return Line(name=name, degree=3, knots=knots, control=control, closed=False, sigma=1.0)


def test_a_line_that_runs_out_of_the_frame_ends_beside_it():
    seen = line_on_picture(straight([0, 0, 50], [4000, 0, 50]), placement(), camera())
    (piece,) = seen.pieces
    assert 2 <= len(piece) < 241
    assert piece.min() > -0.05 * 4000 - 1
    assert np.all(piece < np.array([4000, 3000]) + 0.05 * 4000)


def test_what_lies_behind_the_camera_is_not_drawn():
    picture = camera()
    eye = camera_centre(picture.rotation_vector, picture.translation)
    away = eye + (eye - np.array([0.0, 0.0, 50.0])) * 0.5
    assert (
        lines_on_picture([straight(away, away + np.array([10.0, 0.0, 0.0]))], placement(), picture)
        == ()
    )


def test_scaled_model_and_scaled_placement_draw_the_same():
    points = np.array([[300.0, -600.0, 900.0], [500.0, 100.0, 400.0]])
    here, _ = picture_points(points, placement(), camera())
    there, _ = picture_points(points * 2.0, placement(scale=16.0), camera())
    np.testing.assert_allclose(here, there, atol=1e-9)
