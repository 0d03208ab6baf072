"""A search for seams of the invented wing, as it would be kept."""

import numpy as np

from buckwright.model.panels import PanelSpec, SeamSpec
from buckwright.model.seams import ProposedSeam, SeamOption, SeamPiece, SeamStudy
from web.invented_shape import grid, wing_point

OVER = ((-20.0, -815.0, 655.0), (0.0, -690.0, 730.0), (20.0, -565.0, 655.0))


def make_study(region, reach):
    u, v = np.meshgrid(np.linspace(0.0, 1.0, 20), np.linspace(-1.0, 1.0, 8), indexing="ij")
    _, edge = grid(20, 8)
    rim = wing_point(u, v).reshape(-1, 3)[edge]
    whole = _option("A", "one piece", 0.0, 0.071, (_piece("wing", rim, 0.071),))
    halves = (_piece("wing front", rim[:20], 0.034), _piece("wing rear", rim[20:], 0.032))
    seam = SeamSpec(name="wing seam 1", region=region, through=OVER)
    parted = _option("B", "2 pieces", 262.0, 0.034, halves).model_copy(
        update={
            "seams": (_proposed(),),
            "drawn": (seam,),
            "panels": (
                PanelSpec(
                    name="wing front", region=region, seams=(seam.name,), at=(-250, -690, 650)
                ),
                PanelSpec(name="wing rear", region=region, seams=(seam.name,), at=(250, -690, 650)),
            ),
            "takes_it": True,
        }
    )
    return SeamStudy(
        region=region,
        side="left",
        options=(whole, parted),
        chosen="B",
        why="It has the fewest pieces that the metal takes.",
        reach=reach,
        sheet=(1219.2, 2438.4),
        allowance=10.0,
        limit=0.04,
        tried=31,
        complete=False,
    )


def _option(name, words, weld, peak, pieces):
    return SeamOption(
        name=name,
        seams=(),
        pieces=pieces,
        peak=peak,
        work_density=1e-3,
        weld=weld,
        within_reach=True,
        on_sheet=True,
        takes_it=False,
        words=words,
    )


def _piece(name, rim, peak):
    return SeamPiece(
        name=name,
        edge=rim,
        area=160000.0,
        size=(640.0, 290.0),
        peak=peak,
        work_density=1e-3,
        within_reach=True,
        on_sheet=True,
    )


def _proposed():
    return ProposedSeam(
        name="wing seam 1",
        line=None,
        points=np.array(OVER),
        length=262.0,
        meets_deg=(88.0, 91.0),
        least_radius=340.0,
        rounding_before=0.42,
        rounding_after=(0.2, 0.22),
        why="Straight over the top; it parts the rounding in two.",
    )
