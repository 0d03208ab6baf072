"""The flat piece for a panel, and where its metal must move."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.flatten import outer_loop
from buckwright.geometry.mesh import triangle_areas
from buckwright.geometry.strain import hencky_measure, map_matrices, shape_gradients, stretch_of
from buckwright.model.panels import Aim, Blank, Grain, Panel, SheetStock
from buckwright.panels.aims import aim_words, lay_flat
from buckwright.panels.bend import panel_bends
from buckwright.panels.disc import check_disc, check_opened
from buckwright.panels.doubts import blank_findings
from buckwright.panels.lie import grain_finding, lay_on_sheet
from buckwright.panels.marks import centre_lines, datum_marks
from buckwright.panels.notches import cut_notches, opening_cut
from buckwright.panels.order import in_order
from buckwright.panels.outline import allowed_outline
from buckwright.panels.shape_map import FlatPanel, map_areas
from buckwright.panels.verdict import judge, known_metal

__all__ = ["flatten_panel"]

Array = NDArray[np.float64]
Index = NDArray[np.int64]


def flatten_panel(
    panel: Panel,
    sheet: SheetStock,
    *,
    allowance: float,
    aim: Aim = "least-work",
    grain: Grain = "any",
    progress: Callable[[float], None] | None = None,
) -> Blank:
    """The blank of a panel in a sheet, outside up, with its shape map.

    Parameters: `allowance`, mm of metal added all round and inside openings; `aim`:

    - `least-work`, the least plastic work: the area integral of Hill's measure with the sheet's
      r-value, which for r = 1 is e1^2 + e2^2 + e1 e2 (logarithmic strains, boundary free);
    - `least-greatest`, the least greatest strain, stretch and shrink alike;
    - `stretch-only` and `shrink-only`, the least work of those blanks that nowhere need the other
      by more than 0.2 %;

    `grain`, what lies along the sheet's rolling direction, which is x of the blank; `progress`,
    called with the share done. Strains count from the blank to the panel. Match marks along seams
    need the neighbours too: `match_marks` gives them.

    Raises JobError for a panel that cannot be laid flat (not one piece, a tube, a handle), for
    an alloy or thickness that the tables do not have, and for a grain that cannot be followed.
    """
    check_disc(panel)
    metal = known_metal(sheet)
    with ThreadPoolExecutor(1) as beside:
        # How it bends does not hang on how it lies: a second core finds that meanwhile.
        bending = beside.submit(panel_bends, panel.vertices, panel.triangles)
        aimed = lay_flat(panel, sheet, aim=aim, progress=progress)
        bends = bending.result()
    rim, holes = outer_loop(aimed.flat.points, panel.triangles)
    flat = lay_on_sheet(aimed.flat.points, rim, panel, sheet, grain=grain, add=allowance)
    major, minor, direction = _strain(panel, flat)
    check_opened(panel, len(holes), float(max(np.abs(major).max(), np.abs(minor).max())))
    areas = triangle_areas(panel.vertices, panel.triangles)
    flat_areas = triangle_areas(flat, panel.triangles)
    change = areas / flat_areas - 1.0
    shown = FlatPanel(
        panel.vertices,
        flat,
        panel.triangles,
        rim,
        change,
        major,
        minor,
        direction,
        bends,
        sheet.thickness,
    )
    verdict = judge(metal, major, minor)
    worked, work = in_order(map_areas(shown), verdict)
    net = flat[rim]
    outline, notches = cut_notches(net, allowed_outline(net, allowance))
    openings = tuple(flat[loop][::-1] for loop in holes)
    cuts = [cut for cut in (opening_cut(ring, allowance) for ring in openings) if cut is not None]
    doubt = grain_finding(panel, net, sheet, grain=grain, add=allowance)
    metal_area = _ring_area(outline) - sum(_ring_area(cut) for cut in cuts)
    return Blank(
        panel=panel.name,
        flat=flat,
        outline=outline,
        net_outline=net,
        area_change=change,
        strain_major=major,
        strain_minor=minor,
        major_direction=direction,
        bend_radius=bends.radius,
        work_density=float(areas @ hencky_measure(major, minor)[0] / areas.sum()),
        area=float(areas.sum()),
        blank_area=float(flat_areas.sum()),
        flipped=int(np.count_nonzero(flat_areas <= 0.0)),
        areas=worked,
        verdict=verdict,
        mass=metal_area * sheet.thickness * metal.alloy.density,
        thickness=tuple(sheet.thickness / (1.0 + c) for c in (change.max(), change.min())),
        findings=(
            *blank_findings(panel, sheet, net, outline, settled=aimed.flat.settled),
            *([doubt] if doubt else []),
        ),
        aim=aim,
        aim_words=aim_words(aim, major, minor),
        r_value=aimed.r_value.value,
        r_source=aimed.r_value.source,
        grain=grain,
        openings=openings,
        opening_cuts=tuple(cuts),
        notches=notches,
        marks=datum_marks(panel, flat),
        centre_line=centre_lines(panel, flat),
        thickness_after=sheet.thickness / (1.0 + change),
        curvature_tight=bends.tight,
        curvature_slack=bends.slack,
        tight_direction=bends.on_blank(panel.vertices, panel.triangles, flat),
        work=work,
    )


def _strain(panel: Panel, flat: Array) -> tuple[Array, Array, Array]:
    """Principal log strains from blank to panel (m,), larger first, and the larger's direction."""
    _, gradients = shape_gradients(panel.vertices, panel.triangles)
    stretch = stretch_of(flat, panel.triangles, map_matrices(gradients))
    # The map from panel to blank shortens most where the map back lengthens most.
    longest, shortest = stretch.logs()
    angle = stretch.major_angle() + 0.5 * np.pi
    return -shortest, -longest, np.stack([np.cos(angle), np.sin(angle)], axis=1)


def _ring_area(ring: Array) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float(0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1)))
