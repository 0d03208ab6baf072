"""Where no bar of the mat was measured, every sheet says so; where one was, none does."""

import numpy as np
import pytest

from buckwright.drawings import SCALE_NOT_MEASURED, packet_sheets
from buckwright.files.svg import svg_text
from buckwright.model.pictures import Calibration
from drawings import small_job


def sheets(scale):
    """All sheets of the small job whose lines came from pictures of that scale."""
    calibration = Calibration(
        pictures=(),
        groups=(),
        mat_points=np.zeros((0, 3)),
        residual_px=0.05,
        scale=scale,
        scale_sigma=0.003,
        centre_sigma=np.zeros(0),
    )
    products = small_job.products().model_copy(update={"calibration": calibration})
    return packet_sheets(small_job.job(), products)


def test_every_sheet_is_marked_where_the_scale_was_not_measured():
    marked = sheets("not measured")
    assert len(marked) > 10
    assert all(sheet.notes[0] == SCALE_NOT_MEASURED for sheet in marked)
    assert "SCALE NOT MEASURED" in svg_text(marked[0])


@pytest.mark.parametrize("scale", ["bar"])
def test_no_sheet_is_marked_where_a_bar_was_measured(scale):
    assert all(SCALE_NOT_MEASURED not in sheet.notes for sheet in sheets(scale))
