"""All panels of a job with their blanks, the right side's mirrored from the left's."""

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.flatten import outer_loop
from buckwright.model.panels import Blank, Offcut, Panel, Panels, PanelSpec, SeamSpec, SheetStock
from buckwright.model.skin import Skin
from buckwright.model.treatments import EdgeTreatment
from buckwright.panels.blank import flatten_panel
from buckwright.panels.closer_seam import with_closer_seam
from buckwright.panels.edge_plan import plan_edges, with_skin_edges
from buckwright.panels.edges import with_edges
from buckwright.panels.grid import panel_grid
from buckwright.panels.marks import with_match_marks
from buckwright.panels.nesting import nest_blanks
from buckwright.panels.other_side import for_side, mirrored_blank, mirrored_panel
from buckwright.panels.paper_side import paper_patterns
from buckwright.panels.seams import cut_panels
from buckwright.panels.verdict import known_metal

__all__ = ["make_panel", "make_panels"]


def make_panels(
    specs: tuple[PanelSpec, ...],
    skin: Skin,
    sheet: SheetStock,
    seams: tuple[SeamSpec, ...] = (),
    *,
    offcuts: tuple[Offcut, ...] = (),
    treatments: tuple[EdgeTreatment, ...] = (),
) -> Panels:
    """The panels that the specs ask for, in order, each with its blank for its aim.

    Neighbours share exactly the vertices of their seam. A region that exists left and right is
    cut on the left, and each of its panels is followed by its mirror image for the right, as is
    one of a whole region that asks for it; their names end in `left` and `right`. `seams` are
    those drawn on the skin that specs may name; `offcuts` are sheet in the rack, cut before new
    sheets are; `treatments` are of the skin's edges, and hold wherever a panel that ends there
    names none of its own. Raises JobError as `flatten_panel` and for a panel that the skin does
    not give.
    """
    cut, findings = cut_panels(specs, skin, seams)
    pairs: list[tuple[Panel, Blank]] = []
    rims: list[NDArray[np.int64]] = []
    for spec, found in zip(specs, cut, strict=True):
        panel = for_side(found, spec)
        blank = make_panel(panel, with_skin_edges(panel, spec, treatments, skin), sheet)
        pairs.append((panel, blank))
        rims.append(outer_loop(blank.flat, panel.triangles)[0])
        if panel.side != "whole":
            other = mirrored_panel(panel)
            pairs.append((other, mirrored_blank(blank, panel, other)))
            rims.append(rims[-1][::-1])
    panels = tuple(panel for panel, _ in pairs)
    return Panels(
        panels=panels,
        blanks=with_match_marks(panels, [blank for _, blank in pairs]),
        edge_vertices=tuple(rims),
        findings=findings,
        grids=tuple(panel_grid(panel, blank) for panel, blank in pairs),
        layout=nest_blanks([blank for _, blank in pairs], sheet, offcuts),
        papers=paper_patterns(pairs),
    )


def make_panel(panel: Panel, spec: PanelSpec, sheet: SheetStock) -> Blank:
    """The blank of one panel with its edges as the spec treats them, and what a seam would do."""
    metal = known_metal(sheet)
    plans = plan_edges(panel, spec, metal)
    most = max((plan.allowance for plan in plans), default=spec.trim_allowance)
    blank = flatten_panel(panel, sheet, allowance=most, aim=spec.aim, grain=spec.grain)
    return with_closer_seam(with_edges(blank, panel, spec, metal, plans), panel, sheet)
