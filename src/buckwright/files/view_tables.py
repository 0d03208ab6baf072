"""Curves of views and lines joined from them, as CSV."""

import csv
from collections.abc import Sequence
from io import StringIO

from buckwright.model.views import VIEW_AXES, SpaceLine, ViewCurve

__all__ = ["space_lines_csv", "view_curves_csv"]


def view_curves_csv(curves: Sequence[ViewCurve], seen_from: str) -> str:
    """A row for each point: where it is, how wide its band, how much the plane shows it wrong."""
    axes = VIEW_AXES[seen_from]
    names = [f"{'xyz'[axis]}_mm" for axis, _ in (axes.right, axes.up)]
    out = StringIO()
    rows = csv.writer(out, lineterminator="\n")
    head = ["line", *names, f"taken_at_{'xyz'[axes.away[0]]}_mm"]
    rows.writerow([*head, "band_mm", "parallax_mm", "sigma_mm"])
    for curve in curves:
        for k, (right, up) in enumerate(curve.points):
            at = [axes.right[1] * right, axes.up[1] * up, curve.along[k]]
            doubt = [curve.band[k], curve.parallax[k], curve.sigma[k]]
            rows.writerow([curve.line, *(f"{value:.2f}" for value in (*at, *doubt))])
    return out.getvalue()


def space_lines_csv(lines: Sequence[SpaceLine]) -> str:
    """A row for each point of each line, vehicle axes at full size."""
    out = StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["line", "x_mm", "y_mm", "z_mm", "sigma_mm"])
    for line in lines:
        for point, sigma in zip(line.points, line.sigma, strict=True):
            rows.writerow([line.name, *(f"{value:.2f}" for value in (*point, sigma))])
    return out.getvalue()
