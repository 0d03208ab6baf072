"""The job in figures, for the cover: what it is, weighs, takes, and how sure that is."""

import numpy as np
from numpy.typing import NDArray

from buckwright.files.summary_metal import frame_rows, gauge_words, panel_rows
from buckwright.geometry.mesh import triangle_areas
from buckwright.model.buck import Buck
from buckwright.model.job import Job, Products, Reference
from buckwright.model.plan import Plan
from buckwright.model.skin import Skin
from buckwright.units import format_both

__all__ = ["summary_rows"]

Row = tuple[str, str]


def summary_rows(job: Job, products: Products) -> list[Row]:
    """(name, figures in words) for each step that has an answer."""
    rows: list[Row] = []
    if products.calibration is not None:
        rows.append(("Pictures", _pictures(products)))
    if products.lines is not None:
        rows += _lines(job, products.lines)
    if products.skin is not None:
        rows.append(("Skin", _skin(products.skin)))
    if products.people is not None:
        rows.append(("Will they fit", _people(products)))
    if products.buck is not None:
        rows += _buck(products.buck)
    if products.panels is not None:
        rows += panel_rows(products.panels, job)
    if products.gauges is not None:
        rows.append(("Gauges", gauge_words(products.gauges)))
    for check in products.checks:
        rows.append(
            (
                f"Check of {check.survey}",
                f"{_count(len(check.spots), 'spot')} beyond {check.tolerance:g} mm; "
                f"the rest within {check.rms:.2f} mm rms",
            )
        )
    if products.plan is not None:
        rows.append(("Work", _plan(products.plan)))
    return rows or [(job.name, "nothing has been worked out yet")]


def _pictures(products: Products) -> str:
    found = products.calibration
    assert found is not None
    scale = (
        f"scale by a measured bar, within {1000.0 * found.scale_sigma:.2f} per mille"
        if found.scale == "bar"
        else "SCALE NOT MEASURED"
    )
    return (
        f"{len(found.pictures)} pictures, {found.residual_px:.2f} px rms; {scale}; "
        f"{len(products.measured)} lines measured"
    )


def _lines(job: Job, reference: Reference) -> list[Row]:
    datum = {spec.name for spec in job.lines if spec.use == "datum"}
    lines = [line for line in reference.network.lines if line.name not in datum]
    points = np.vstack([line.points(200) for line in lines])
    # Lines of one side stand for both.
    size: NDArray[np.float64] = np.ptp(np.vstack([points, points * [1.0, -1.0, 1.0]]), axis=0)
    points_good_to, good_to = (
        float(np.sqrt(np.mean(np.square(of))))
        for of in zip(*((line.sigma, line.doubt) for line in lines), strict=True)
    )
    return [
        ("Wheelbase", format_both(reference.wheelbase) if reference.wheelbase else "not known"),
        ("Length over the lines", format_both(float(size[0]))),
        ("Width over the lines", format_both(float(size[1]))),
        (
            "Lines",
            f"{len(lines)} lines, {len(reference.network.crossings)} crossings, "
            f"points known to about {points_good_to:.1f} mm, faired lines to {good_to:.1f} mm",
        ),
    ]


def _skin(skin: Skin) -> str:
    area = sum(float(triangle_areas(r.vertices, r.triangles).sum()) for r in skin.regions)
    worst = max((r.line_error_most for r in skin.regions), default=0.0)
    regions = _count(len(skin.regions), "region")
    return f"{regions}, {area / 1e6:.2f} m2, within {worst:.1f} mm of every line"


def _people(products: Products) -> str:
    answer = products.people
    assert answer is not None
    spare = min((height.spare for height in answer.heights), default=0.0)
    if answer.fits:
        return f"yes, {spare:.0f} mm to spare at the tightest height"
    return f"no, {-spare:.0f} mm short: widen by {answer.widen_by:.0f} mm"


def _buck(buck: Buck) -> list[Row]:
    rod = sum(wire.length for wire in buck.wires) / 1000.0
    sprung = sum(wire.sprung for wire in buck.wires)
    rods, tubes = buck.rod_plan, buck.tube_plan
    return [
        (
            "Buck",
            f"{len(buck.wires)} wires ({sprung} sprung), {rod:.1f} m of rod, "
            f"{len(buck.tacks)} tacks, {len(buck.posts)} posts; {buck.mass:.1f} kg with the frame",
        ),
        (
            "To buy",
            f"{len(rods.bars)} bars of {rods.stock} (at least {rods.bars_bound}), "
            f"{len(tubes.bars)} bars of {tubes.stock} (at least {tubes.bars_bound})",
        ),
        *frame_rows(buck),
    ]


def _plan(plan: Plan) -> str:
    left = (
        f"; {_count(len(plan.left_over), 'task')} left for more sessions" if plan.left_over else ""
    )
    return (
        f"{_count(len(plan.tasks), 'task')}, {plan.expected_hours:.0f} hours of work "
        f"(give or take {plan.sigma_hours:.0f}), by the shop's own rates{left}"
    )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
