"""What has been worked out, on one screen."""

import math
from typing import Any

from buckwright.model.buck import Buck
from buckwright.model.checking import CheckResult
from buckwright.model.job import Job, Products, Reference
from buckwright.model.openings import Openings
from buckwright.model.panels import Panels
from buckwright.model.people import FitAnswer
from buckwright.model.pictures import Calibration
from buckwright.model.plan import Plan
from buckwright.model.skin import Skin
from buckwright.units import format_length

__all__ = ["summary_json", "summary_lines"]


def summary_lines(job: Job, products: Products) -> list[str]:
    """The answers of the steps, one line each, in order; steps without an answer are left out."""
    told = [
        ("pictures", _pictures(job, products.calibration) if products.calibration else ""),
        ("points", _points(job, products) if products.calibration else ""),
        ("lines", _lines(products.lines) if products.lines else ""),
        ("skin", _skin(products.skin) if products.skin else ""),
        ("people", _people(products.people) if products.people else ""),
        ("openings", _openings(products.openings) if products.openings else ""),
        ("buck", _buck(products.buck) if products.buck else ""),
        ("panels", _panels(products.panels) if products.panels else ""),
        ("gauges", f"{len(products.gauges.gauges)} cards" if products.gauges else ""),
        ("checking", "; ".join(_check(check) for check in products.checks)),
        ("plan", _plan(products.plan, job) if products.plan else ""),
    ]
    return [f"  {step:<9} {text}" for step, text in told if text]


def summary_json(job: Job, products: Products) -> dict[str, Any]:
    """The same as numbers."""
    told: dict[str, Any] = {"job": job.name, "revision": job.revision}
    if products.calibration:
        told["pictures"] = {
            "count": len(products.calibration.pictures),
            "residual_px": products.calibration.residual_px,
            "scale": products.calibration.scale,
            "scale_sigma": products.calibration.scale_sigma,
        }
    if products.lines:
        told["lines"] = {
            "count": len(products.lines.network.lines),
            "wheelbase_mm": products.lines.wheelbase,
            "asymmetry_rms_mm": products.lines.placement.asymmetry_rms,
        }
    if products.skin:
        told["skin"] = {r.name + " " + r.side: len(r.triangles) for r in products.skin.regions}
    if products.people:
        told["people"] = products.people.model_dump(
            mode="json", exclude={"findings": True, "package": {"shapes"}}
        )
    if products.openings:
        told["openings"] = {
            one.name: {
                "swing_deg": None if one.swing is None else math.degrees(one.swing.reached),
                "clearance_mm": None if one.swing is None else one.swing.least,
                "glass_off_mm": None if one.pane is None else one.pane.off_most,
                "drop_mm": None if one.pane is None or not one.pane.drop else one.pane.drop.reached,
            }
            for one in products.openings.openings
        }
    if products.buck:
        told["buck"] = {
            "wires": len(products.buck.wires),
            "rod_mm": sum(wire.length for wire in products.buck.wires),
            "bars": len(products.buck.rod_plan.bars),
            "bars_bound": products.buck.rod_plan.bars_bound,
            "mass_kg": products.buck.mass,
        }
    if products.panels:
        told["panels"] = {
            blank.panel: {
                "area_mm2": blank.area,
                "stretch_max": float(blank.area_change.max()),
                "shrink_max": float(blank.area_change.min()),
                "verdict": blank.verdict.step,
            }
            for blank in products.panels.blanks
        }
    told["checking"] = {
        check.survey: {
            "rms_mm": check.rms,
            "spots": [spot.model_dump(mode="json") for spot in check.spots],
        }
        for check in products.checks
    }
    if products.plan:
        told["plan"] = {
            "tasks": len(products.plan.tasks),
            "expected_hours": products.plan.expected_hours,
            "left_over": len(products.plan.left_over),
        }
    return told


def _both(mm: float) -> str:
    return f"{mm:,.0f} mm ({format_length(mm, system='inch')})"


def _pictures(job: Job, calibration: Calibration) -> str:
    count = len(calibration.pictures)
    scale = "scale from the bar" if calibration.scale == "bar" else "SCALE NOT MEASURED"
    told = f"{count} solved, corners to {calibration.residual_px:.2f} px, {scale}"
    placed = {picture.name for picture in calibration.pictures}
    outlined = {t.picture for t in job.traces if t.kind == "silhouette" and t.closed} & placed
    if not outlined:
        return told
    left = sum(finding.code == "line-outside-outline" for finding in calibration.findings)
    held = f"{left} lines leave them" if left else "no line leaves them"
    return f"{told}; outlines in {len(outlined)}, {held}"


def _points(job: Job, products: Products) -> str:
    if not products.points:
        return ""
    sigma = math.sqrt(sum(point.sigma**2 for point in products.points) / len(products.points))
    places = len(products.points)
    return f"{places} marked, each good to about {job.scale * sigma:.1f} mm at full size"


def _lines(lines: Reference) -> str:
    fair = lines.network.lines
    doubt, points = (
        sum(of) / len(fair) for of in zip(*((n.doubt, n.sigma) for n in fair), strict=True)
    )
    return f"{len(fair)} fair, each good to about {doubt:.1f} mm, its points to {points:.1f} mm" + (
        f"; wheelbase {_both(lines.wheelbase)}" if lines.wheelbase else ""
    )


def _skin(skin: Skin) -> str:
    triangles = sum(len(region.triangles) for region in skin.regions)
    worst = max(region.line_error_most for region in skin.regions)
    return f"{len(skin.regions)} regions, {triangles:,} triangles, within {worst:.1f} mm of lines"


def _people(answer: FitAnswer) -> str:
    least = min(answer.heights, key=lambda fit: fit.spare)
    verdict = "they fit" if answer.fits else f"too narrow: widen by {answer.widen_by:.0f} mm"
    return f"{verdict}; {least.spare:+.0f} mm (give or take {least.sigma:.0f}) at the {least.name}"


def _openings(made: Openings) -> str:
    swings = [one.swing for one in made.openings if one.swing is not None]
    panes = sum(one.pane is not None for one in made.openings)
    touching = sum(swing.touch is not None for swing in swings)
    told = f"{len(swings)} of {len(made.openings)} swing"
    if touching:
        told += f", {touching} of them touching"
    elif swings:
        told += f", clear by {min(swing.least for swing in swings):.1f} mm at least"
    return f"{told}; {panes} panes of glass"


def _buck(buck: Buck) -> str:
    metres = sum(wire.length for wire in buck.wires) / 1000.0
    plan = buck.rod_plan
    bars = "the least possible" if plan.proven else f"at least {plan.bars_bound} needed"
    return (
        f"{len(buck.wires)} wires, {metres:.1f} m of rod from {len(plan.bars)} bars ({bars}), "
        f"{len(buck.tacks)} tacks, {buck.mass:.0f} kg"
    )


def _panels(panels: Panels) -> str:
    stretch = max(float(blank.area_change.max()) for blank in panels.blanks)
    shrink = min(float(blank.area_change.min()) for blank in panels.blanks)
    return (
        f"{len(panels.blanks)} blanks; most stretch {100 * stretch:.1f} %, "
        f"most shrink {-100 * min(shrink, 0.0):.1f} %"
    )


def _check(check: CheckResult) -> str:
    spots = ", ".join(f"{spot.kind} {spot.height:+.1f} mm" for spot in check.spots) or "no spots"
    return f"{check.survey}: {spots}; the rest within {check.rms:.1f} mm rms"


def _plan(plan: Plan, job: Job) -> str:
    sessions = len(job.plan.sessions) if job.plan else 0
    return (
        f"{len(plan.tasks)} tasks, {plan.expected_hours:.0f} hours "
        f"(give or take {plan.sigma_hours:.0f}); {sessions} sessions take "
        f"{len(plan.tasks) - len(plan.left_over)} of them"
    )
