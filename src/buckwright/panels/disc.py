"""What a mesh must be before it can be laid flat: one piece without handles, openings allowed."""

import numpy as np

from buckwright.errors import JobError
from buckwright.geometry.mesh_faults import (
    crowded_edges,
    mesh_form,
    pinched_vertices,
    repeated_triangles,
    thin_triangles,
)
from buckwright.model.panels import Panel

__all__ = ["check_disc", "check_opened"]

_TUBE = 0.7
"""Log strain, a doubling of lengths, at which a piece with two edges counts as a tube."""


def check_disc(panel: Panel) -> None:
    """Raise JobError unless the panel is a disc, openings allowed: one piece without handles."""
    triangles = panel.triangles
    if not len(triangles):
        raise JobError(f"'{panel.name}' has no metal in it.", "Look at its seams and its region.")
    loose = len(panel.vertices) - len(np.unique(triangles))
    if loose:
        raise JobError(
            f"Corners of '{panel.name}' belong to no triangle: {loose} of them.",
            "Remove them from the mesh.",
        )
    if len(thin_triangles(panel.vertices, triangles)):
        raise JobError(
            f"'{panel.name}' has triangles without area.", "Mesh the part again, evenly."
        )
    if len(repeated_triangles(triangles)):
        raise JobError(
            f"In '{panel.name}' {len(repeated_triangles(triangles))} triangles lie twice.",
            "Remove the copies from the mesh.",
        )
    if len(crowded_edges(triangles)):
        raise JobError(
            f"At an edge of '{panel.name}' more than two triangles meet.",
            "Take flanges and inner walls out of the mesh, so that it is one skin.",
        )
    form = mesh_form(triangles)
    if form.pieces > 1:
        raise JobError(
            f"'{panel.name}' falls into {form.pieces} pieces.",
            "Make a panel of each, or move the seams so that the piece hangs together.",
        )
    pinched = pinched_vertices(triangles)
    if len(pinched):
        raise JobError(
            f"'{panel.name}' touches itself at {_place(panel.vertices[pinched[0]])}.",
            "Cut it apart there, or join the edges that touch.",
        )
    if form.boundaries == 0:
        raise JobError(
            f"'{panel.name}' is closed all round, and a closed shell cannot be laid flat.",
            "Cut it into panels along seams.",
        )
    if form.handles:
        raise JobError(
            f"'{panel.name}' has a handle and cannot be laid flat.", "Cut it through the handle."
        )


def check_opened(panel: Panel, openings: int, greatest: float) -> None:
    """Raise JobError for a tube: a ring that lies flat only if lengths are doubled somewhere.

    `openings` beside the outer edge, `greatest` log strain of the panel laid flat.
    """
    if openings and greatest > _TUBE:
        raise JobError(
            f"'{panel.name}' has {openings + 1} edges that do not meet and is a tube: laid flat in "
            f"one piece its metal would have to change by {100.0 * np.expm1(greatest):.0f} %.",
            "Divide it by a seam from edge to edge.",
        )


def _place(point: np.ndarray) -> str:
    return "x {:.0f}, y {:.0f}, z {:.0f}".format(*point)
