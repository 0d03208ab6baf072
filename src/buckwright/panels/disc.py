"""What a mesh must be before it can be laid flat: one piece with one edge all round."""

import numpy as np

from buckwright.errors import JobError
from buckwright.geometry.mesh_faults import (
    crowded_edges,
    mesh_form,
    pinched_vertices,
    thin_triangles,
)
from buckwright.model.panels import Panel

__all__ = ["check_disc"]


def check_disc(panel: Panel) -> None:
    """Raise JobError unless the panel is a disc: one piece, one edge all round, no handle."""
    triangles = panel.triangles
    if not len(triangles):
        raise JobError(f"'{panel.name}' has no metal in it.", "Look at its seams and its region.")
    if len(thin_triangles(panel.vertices, triangles)):
        raise JobError(
            f"'{panel.name}' has triangles without area.", "Mesh the part again, evenly."
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
    if form.boundaries > 1:
        raise JobError(
            f"'{panel.name}' has {form.boundaries} edges that do not meet: it is a tube or has "
            "openings.",
            "Divide it by a seam from edge to edge, or fill the openings and cut them out later.",
        )
    if form.handles:
        raise JobError(
            f"'{panel.name}' has a handle and cannot be laid flat.", "Cut it through the handle."
        )


def _place(point: np.ndarray) -> str:
    return "x {:.0f}, y {:.0f}, z {:.0f}".format(*point)
