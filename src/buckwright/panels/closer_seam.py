"""What one seam more would do for a panel that its metal will not take."""

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.cut_mesh import cut_mesh, kept_part
from buckwright.geometry.flatten import flatten_least_work
from buckwright.geometry.mesh import vertex_areas
from buckwright.geometry.strain import map_matrices, shape_gradients, stretch_of
from buckwright.model.panels import Blank, OtherMetal, Panel, SheetStock
from buckwright.panels.disc import check_disc
from buckwright.panels.verdict import Strains, known_metal, percent_of, step_for

__all__ = ["with_closer_seam"]

Array = NDArray[np.float64]


def with_closer_seam(blank: Blank, panel: Panel, sheet: SheetStock) -> Blank:
    """The blank with the verdict on its panel in two pieces, where it is not taken in one.

    The seam runs straight across the middle of the panel's longer way; the halves are laid flat
    anew. Nothing is added where the halves are no simple pieces.
    """
    if blank.verdict.step == "takes it":
        return blank
    found = _halved(panel, sheet)
    if found is None:
        return blank
    verdict = blank.verdict.model_copy(update={"others": (found, *blank.verdict.others)})
    return blank.model_copy(update={"verdict": verdict})


def _halved(panel: Panel, sheet: SheetStock) -> OtherMetal | None:
    weight = vertex_areas(panel.vertices, panel.triangles)
    middle = np.average(panel.vertices, axis=0, weights=weight)
    off = (panel.vertices - middle) * np.sqrt(weight)[:, None]
    axis = int(np.argmax(np.abs(np.linalg.eigh(off.T @ off)[1][:, 2])))
    cut = cut_mesh(
        panel.vertices, panel.triangles, origin=middle, normal=np.asarray(np.eye(3)[axis])
    )
    metal = known_metal(sheet)
    worst: Strains | None = None
    for side in (-1, 1):
        vertices, triangles, _ = kept_part(cut.vertices, cut.triangles[cut.side == side])
        half = Panel(name=panel.name, region=panel.region, vertices=vertices, triangles=triangles)
        try:
            check_disc(half)
        except JobError:
            return None
        strains = _strains(vertices, triangles)
        worst = strains if worst is None or strains.asked > worst.asked else worst
    if worst is None:
        return None
    step = step_for(metal, worst)
    verb = "takes it with care" if step == "with care" else step
    return OtherMetal(
        alloy=metal.alloy.name,
        thickness=metal.thickness,
        step=step,
        share=worst.asked / metal.row.least,
        words=f"with one seam more, across it at {'xyz'[axis]} = {middle[axis]:.0f}, "
        f"{metal.alloy.name} of {metal.thickness:.2f} mm {verb}: needs {percent_of(worst.asked)} "
        f"of {percent_of(metal.row.least)}",
    )


def _strains(vertices: Array, triangles: NDArray[np.int64]) -> Strains:
    flat = flatten_least_work(vertices, triangles).points
    _, gradients = shape_gradients(vertices, triangles)
    longest, shortest = stretch_of(flat, triangles, map_matrices(gradients)).logs()
    return Strains(-shortest, -longest)
