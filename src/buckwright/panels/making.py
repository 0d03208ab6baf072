"""All panels of a job with their blanks."""

from buckwright.geometry.mesh import boundary_loops
from buckwright.model.panels import Panels, PanelSpec, SheetStock
from buckwright.model.skin import Skin
from buckwright.panels.blank import flatten_panel
from buckwright.panels.seams import cut_panels

__all__ = ["make_panels"]


def make_panels(specs: tuple[PanelSpec, ...], skin: Skin, sheet: SheetStock) -> Panels:
    """The panels that the specs ask for, in order, each with its blank of least work.

    Neighbours share exactly the vertices of their seam. A region that exists left and right is
    cut on the left; the right side's are the mirror images. Raises JobError as `flatten_panel`
    and for a panel that the skin does not give.
    """
    panels, findings = cut_panels(specs, skin)
    blanks = [
        flatten_panel(panel, sheet, allowance=spec.trim_allowance)
        for panel, spec in zip(panels, specs, strict=True)
    ]
    return Panels(
        panels=panels,
        blanks=tuple(blanks),
        edge_vertices=tuple(boundary_loops(panel.triangles)[0] for panel in panels),
        findings=findings,
    )
