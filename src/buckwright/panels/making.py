"""All panels of a job with their blanks."""

from buckwright.geometry.flatten import outer_loop
from buckwright.model.panels import Panels, PanelSpec, SheetStock
from buckwright.model.skin import Skin
from buckwright.panels.blank import flatten_panel
from buckwright.panels.grid import panel_grid
from buckwright.panels.marks import with_match_marks
from buckwright.panels.seams import cut_panels

__all__ = ["make_panels"]


def make_panels(specs: tuple[PanelSpec, ...], skin: Skin, sheet: SheetStock) -> Panels:
    """The panels that the specs ask for, in order, each with its blank for its aim.

    Neighbours share exactly the vertices of their seam. A region that exists left and right is
    cut on the left; the right side's are the mirror images. Raises JobError as `flatten_panel`
    and for a panel that the skin does not give.
    """
    panels, findings = cut_panels(specs, skin)
    blanks = [
        flatten_panel(panel, sheet, allowance=spec.trim_allowance, aim=spec.aim, grain=spec.grain)
        for panel, spec in zip(panels, specs, strict=True)
    ]
    pairs = list(zip(panels, blanks, strict=True))
    return Panels(
        panels=panels,
        blanks=with_match_marks(panels, blanks),
        edge_vertices=tuple(outer_loop(blank.flat, panel.triangles)[0] for panel, blank in pairs),
        findings=findings,
        grids=tuple(panel_grid(panel, blank) for panel, blank in pairs),
    )
