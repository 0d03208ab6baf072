"""All openings of a job worked out one by one."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.geometry.mesh import MeshLocator, boundary_loops, triangle_areas
from buckwright.geometry.polyline import polyline_length
from buckwright.model.finding import Finding
from buckwright.model.lines import LineNetwork
from buckwright.model.openings import (
    HingeAxis,
    Opening,
    Openings,
    OpeningSpec,
    Outline,
    Pane,
    Swing,
)
from buckwright.model.skin import Skin, SkinRegion, stack_regions
from buckwright.openings.checks import check_opening
from buckwright.openings.doubts import (
    doubts_about_axis,
    doubts_about_glass,
    doubts_about_outline,
    doubts_about_swing,
)
from buckwright.openings.drop import drop_glass
from buckwright.openings.glass import make_pane
from buckwright.openings.hinges import check_place, hinge_axis, turning_sense
from buckwright.openings.outline import gap_strip, join_outline, shut_gaps
from buckwright.openings.part import Body, Part, cut_part
from buckwright.openings.swing import swing_part

__all__ = ["OpeningMaker", "make_openings"]

Array = NDArray[np.float64]

OFF_MOST = 20.0
"""mm off the skin beyond which a line bounds nothing on it."""


def make_openings(specs: Sequence[OpeningSpec], skin: Skin, network: LineNetwork) -> Openings:
    """Every opening that the job asks for, in its order.

    Where hinges or glass are refused the rest of that opening is worked out all the same, and a
    finding `no-answer` holds the sentence that refuses them.
    """
    maker = OpeningMaker(skin, network)
    return Openings(openings=tuple(_told(maker, spec) for spec in specs))


_LEFT_OUT: tuple[dict[str, None], ...] = (
    {},
    {"hinge": None},
    {"glass": None},
    {"hinge": None, "glass": None},
)


def _told(maker: "OpeningMaker", spec: OpeningSpec) -> Opening:
    refused: dict[str, Finding] = {}
    for without in _LEFT_OUT:
        try:
            made = maker.make(spec.model_copy(update=without))
        except JobError as error:
            refused[error.problem] = Finding(
                code="no-answer", where=spec.name, message=error.problem, remedy=error.remedy
            )
        else:
            return made.model_copy(update={"findings": (*refused.values(), *made.findings)})
    return Opening(name=spec.name, kind=spec.kind, findings=tuple(refused.values()))


class OpeningMaker:
    """Works out openings on one skin: set up once, asked for each opening."""

    def __init__(self, skin: Skin, network: LineNetwork) -> None:
        self.skin, self.network = skin, network
        self._whole = MeshLocator(*stack_regions(skin.regions))

    def make(self, spec: OpeningSpec) -> Opening:
        """One opening. Raises JobError where what is asked for has no answer."""
        check_opening(spec)
        loop = join_outline(spec.outline, self.network, of=spec.name)
        off, at, outward = self._off(loop, spec.name)
        metal_part = spec.kind in ("door", "lid")
        depth = spec.metal + spec.thickness
        part, body, region = self._cut(loop, spec, depth) if metal_part else (None, None, None)
        pane = self._pane(spec, loop, part, region, outward)
        outline = self._outline(spec, loop, off, at, outward, part, region, pane)
        findings = doubts_about_outline(spec, outline)
        axis = swing = None
        if part is not None and body is not None and spec.hinge is not None:
            axis, swing = self._swing(spec, part, body, depth)
            findings += doubts_about_axis(spec, axis)
            findings += doubts_about_swing(spec, swing)
        if pane is not None and spec.glass is not None:
            findings += doubts_about_glass(spec, spec.glass, pane)
        return Opening(
            name=spec.name,
            kind=spec.kind,
            outline=outline,
            axis=axis,
            swing=swing,
            pane=pane,
            findings=tuple(findings),
            **_cut_out(part, region),
        )

    def _off(self, loop: Array, name: str) -> tuple[Array, Array, Array]:
        """Distances (n,) from the skin, and the mean direction (3,) out of it."""
        signed, _, triangle, weights = self._whole.closest(loop)
        outward = self._whole.normal_at(triangle, weights).mean(axis=0)
        off = np.abs(signed)
        worst = int(np.argmax(off))
        if off[worst] > OFF_MOST:
            raise JobError(
                f"The outline of '{name}' lies {off[worst]:.0f} mm off the skin at "
                "x {:.0f}, y {:.0f}, z {:.0f}.".format(*loop[worst]),
                "Choose lines that lie on the skin.",
            )
        return off, loop[worst], outward / np.linalg.norm(outward)

    def _cut(self, loop: Array, spec: OpeningSpec, depth: float) -> tuple[Part, Body, SkinRegion]:
        named = [region for region in self.skin.regions if region.name == spec.region]
        if not named:
            raise JobError(
                f"'{spec.name}' is cut from '{spec.region}', which is no region of the skin.",
                "Choose one of the skin's regions.",
            )
        middle = loop.mean(axis=0)
        region = min(named, key=lambda r: float(np.linalg.norm(r.vertices - middle, axis=1).min()))
        part, body = cut_part(
            loop, self.skin, region, of=spec.name, gap=spec.gap, drain=spec.drain, depth=depth
        )
        return part, body, region

    def _swing(
        self, spec: OpeningSpec, part: Part, body: Body, depth: float
    ) -> tuple[HingeAxis, Swing]:
        assert spec.hinge is not None
        axis = hinge_axis(spec.hinge, of=spec.name)
        check_place(axis, part, body, depth=depth, of=spec.name)
        sense = turning_sense(axis, part, of=spec.name)
        door = spec.kind == "door"
        return axis, swing_part(part, body, axis, sense=sense, wanted=spec.hinge.swing, door=door)

    def _pane(
        self,
        spec: OpeningSpec,
        loop: Array,
        part: Part | None,
        region: SkinRegion | None,
        outward: Array,
    ) -> Pane | None:
        glass = spec.glass
        if glass is None:
            return None
        edge = join_outline(glass.outline, self.network, of=spec.name) if glass.outline else loop
        way = self._off(edge, spec.name)[2] if glass.outline else outward
        pane = make_pane(edge, glass, outward=way, metal=spec.metal, of=spec.name)
        if not glass.drops:
            return pane
        if part is None or region is None:
            raise JobError(
                f"The glass of '{spec.name}' is to drop, but no door holds it.",
                "Let it stay, or make the opening a door.",
            )
        drop = drop_glass(
            pane, glass, part, region, metal=spec.metal, thickness=spec.thickness, of=spec.name
        )
        return pane.model_copy(update={"drop": drop})

    def _outline(
        self,
        spec: OpeningSpec,
        loop: Array,
        off: Array,
        at: Array,
        outward: Array,
        part: Part | None,
        region: SkinRegion | None,
        pane: Pane | None,
    ) -> Outline:
        gaps = shut_gaps(loop, outward, gap=spec.gap, drain=spec.drain)
        inner, outer = gap_strip(loop, gaps, self._whole)
        return Outline(
            points=loop,
            perimeter=polyline_length(loop, closed=True),
            area=_area(loop, part, region),
            off_most=float(off.max()),
            off_at=(float(at[0]), float(at[1]), float(at[2])),
            inner=inner,
            outer=outer,
        )


def _cut_out(part: Part | None, region: SkinRegion | None) -> dict[str, Any]:
    if part is None or region is None:
        return {}
    return {"region": region.name, "side": region.side, "taken": part.taken}


def _area(loop: Array, part: Part | None, region: SkinRegion | None) -> float:
    """mm^2 of the part's skin, windows in it taken as flat; of a bare outline its flat area."""
    if part is None or region is None:
        return _flat_area(loop)
    rings = [region.vertices[ring] for ring in boundary_loops(part.uncut)]
    holes = sorted(_flat_area(ring) for ring in rings)[:-1]
    return float(triangle_areas(region.vertices, part.uncut).sum() + sum(holes))


def _flat_area(loop: Array) -> float:
    """Greatest area of its shadow: half the length of the sum of the cross products."""
    middle = loop - loop.mean(axis=0)
    return 0.5 * float(np.linalg.norm(np.cross(middle, np.roll(middle, -1, axis=0)).sum(axis=0)))
