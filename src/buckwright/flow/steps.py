"""The steps in order: the only place that joins them.

`solve_steps` yields after each step, so that the caller can keep every answer as soon as it
is there; a run that is stopped half-way has lost nothing that was finished.
"""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from typing import Any, TypeVar

import numpy as np

from buckwright.buck import make_buck
from buckwright.capture import calibrate, line_from_traces
from buckwright.checking import check_survey
from buckwright.errors import JobError
from buckwright.flow.intake import look_at, refusal_findings, sort_looks, usable_corners
from buckwright.flow.marked import measure_points
from buckwright.flow.readiness import ready_lines
from buckwright.flow.scale import scale_in_force
from buckwright.flow.scans import scanned_regions
from buckwright.flow.tapes import tape_check
from buckwright.flow.treatments import treated_skin
from buckwright.flow.views import outline_doubts
from buckwright.gauges import make_gauges
from buckwright.lines import make_reference
from buckwright.lines.departing import place_on_reference
from buckwright.model.finding import Finding
from buckwright.model.job import STEPS, Job, Products, Reference
from buckwright.model.pictures import Calibration, Mat, MeasuredLine, Trace
from buckwright.model.skin import Skin
from buckwright.openings import make_openings
from buckwright.panels import make_panels
from buckwright.people import Around, complete_fit, fit_people
from buckwright.plan import make_plan
from buckwright.skin import skin_spots, soften_regions, span_skin
from buckwright.skin.exactly import with_rolled_fields
from buckwright.skin.moved_lines import line_moves

__all__ = [
    "Bench",
    "StoppedError",
    "findings_of",
    "measure_pictures",
    "solve_steps",
    "solved_steps",
]

Progress = Callable[[str, float], None]
"""Called with the step and the share of it that is done."""

Item = TypeVar("Item")
Answer = TypeVar("Answer")


class StoppedError(Exception):
    """The user stopped a run; answers kept so far stand."""


class Bench:
    """Where work is done: an executor for what can go side by side, progress, and a stop sign."""

    def __init__(
        self,
        executor: Executor,
        progress: Progress = lambda step, share: None,
        stopped: Callable[[], bool] = lambda: False,
    ) -> None:
        self.executor, self.progress, self.stopped = executor, progress, stopped

    def say(self, step: str, share: float) -> None:
        """Tell how far a step is; raises StoppedError if the user has stopped the run."""
        if self.stopped():
            self.executor.shutdown(wait=False, cancel_futures=True)
            raise StoppedError
        self.progress(step, share)

    def side_by_side(
        self,
        step: str,
        work: Callable[[Item], Answer],
        items: Sequence[Item],
        *,
        span: tuple[float, float] = (0.0, 1.0),
    ) -> list[Answer]:
        """The work on each item, in order, telling the progress over `span` of the step."""
        answers = []
        low, high = span
        for answer in self.executor.map(work, items):
            answers.append(answer)
            self.say(step, low + (high - low) * len(answers) / len(items))
        return answers


def solve_steps(
    job: Job,
    photograph: Callable[[str], bytes],
    *,
    have: Products,
    fresh: Sequence[str] = (),
    bench: Bench,
) -> Iterator[tuple[str, Products]]:
    """Each step's name with everything known after it.

    `photograph` gives the bytes behind a SHA-256. Steps named in `fresh` are taken from `have`
    without computing them again. A step for which the job holds no question is passed over
    with its answer left empty. Raises JobError where a step has no answer, StoppedError if stopped.
    """
    products = have
    for step in STEPS:
        if step in fresh or step not in _STEPS:
            continue
        bench.say(step, 0.0)
        products = products.model_copy(update=_STEPS[step](job, products, photograph, bench))
        bench.say(step, 1.0)
        yield step, products


def solved_steps(job: Job) -> tuple[str, ...]:
    """The steps that this job asks a question of, in order."""
    asked = {
        "pictures": bool(job.pictures),
        "lines": (job.datum is not None and bool(job.pictures)) or bool(job.tables),
        "skin": bool(job.regions) or bool(job.scans),
        "people": job.people is not None,
        "openings": bool(job.openings),
        "buck": job.buck is not None,
        "panels": bool(job.panels) and job.sheet is not None,
        "gauges": bool(job.gauges),
        "checking": bool(job.surveys),
        "plan": job.plan is not None,
        "drawings": True,
    }
    return tuple(step for step in STEPS if asked[step])


def measure_pictures(
    pictures: Sequence[tuple[str, bytes]],
    mat: Mat,
    traces: Sequence[Trace],
    closed: Callable[[str], bool],
    *,
    bench: Bench,
) -> tuple[Calibration, tuple[MeasuredLine, ...]]:
    """Cameras and 3D lines, in millimetres of the mat, from named photographs and traces.

    Pictures that cannot be used are left out and told among the findings, and so are lines that
    are not traced in two pictures yet, unless none is.
    """
    asked = [(name, data, mat) for name, data in pictures]
    looks = bench.side_by_side("pictures", look_at, asked, span=(0.0, 0.35))
    intake = sort_looks(looks)
    placed = calibrate(usable_corners(looks, intake), mat)
    findings = (*refusal_findings(intake), *placed.findings)
    calibration = placed.model_copy(update={"findings": findings})
    bench.say("pictures", 0.45)
    traces = [trace for trace in traces if trace.on_body]
    ready, waiting = ready_lines(traces, calibration)
    calibration = calibration.model_copy(update={"findings": (*calibration.findings, *waiting)})
    tasks = [
        (name, [trace for trace in traces if trace.line == name], calibration, closed(name))
        for name in ready
    ]
    measured = bench.side_by_side("pictures", _line_through, tasks, span=(0.45, 1.0))
    return calibration, tuple(measured)


def findings_of(products: Products, job: Job | None = None) -> tuple[tuple[str, Finding], ...]:
    """Every doubt and note in the products, each once, with the step it belongs to.

    With the job also what its tapes say against the lines: tapes change no answer, so they are
    held against the lines anew each time and are kept with none.
    """
    found = [("pictures", f) for line in products.measured for f in line.findings]
    found += [("pictures", f) for point in products.points for f in point.findings]
    parts: list[tuple[str, Any]] = [
        ("pictures", products.calibration),
        ("people", products.people),
        ("buck", products.buck),
        ("panels", products.panels),
        ("gauges", products.gauges),
        ("plan", products.plan),
        ("skin", products.skin),
        *(("checking", check) for check in products.checks),
    ]
    if products.lines is not None:
        parts += [("lines", products.lines.placement), ("lines", products.lines.network)]
    if job is not None:
        parts.append(("lines", tape_check(job, products.lines)))
    if products.skin is not None:
        parts += [("skin", region) for region in products.skin.regions]
        parts += [("skin", part) for part in _treated(products.skin)]
    if products.openings is not None:
        parts += [("openings", opening) for opening in products.openings.openings]
    if products.buck is not None:
        parts.append(("buck", products.buck.boards))
    if products.panels is not None:
        panels = products.panels
        parts += [("panels", part) for part in (*panels.blanks, panels.layout, *panels.papers)]
    found += [(step, f) for step, part in parts if part is not None for f in part.findings]
    once = {(step, f.code, f.where, f.message): (step, f) for step, f in found}
    return tuple(sorted(once.values(), key=lambda pair: STEPS.index(pair[0])))


def _treated(skin: Skin) -> tuple[Any, ...]:
    return (*skin.strips, *skin.beads, *skin.louvres)


def _line_through(task: tuple[str, list[Trace], Calibration, bool]) -> MeasuredLine:
    name, traces, calibration, closed = task
    return line_from_traces(name, traces, calibration, closed=closed)


Update = dict[str, Any]
Photograph = Callable[[str], bytes]


def _pictures(job: Job, _: Products, photograph: Photograph, bench: Bench) -> Update:
    if not job.pictures:
        return {"calibration": None, "measured": (), "points": ()}
    if job.mat is None:
        raise JobError(
            "The job has pictures but no mat.", "Say which mat the model stood on, and try again."
        )
    specs = {spec.name: spec for spec in job.lines}
    known = [trace for trace in job.traces if trace.line in specs]
    calibration, measured = measure_pictures(
        [(picture.name, photograph(picture.sha256)) for picture in job.pictures],
        job.mat,
        known,
        lambda name: specs[name].closed,
        bench=bench,
    )
    points, waiting = measure_points(job.traces, calibration)
    doubts = outline_doubts(job.traces, calibration, measured)
    findings = (*calibration.findings, *waiting, *doubts)
    calibration = calibration.model_copy(update={"findings": findings})
    return {"calibration": calibration, "measured": measured, "points": points}


def _lines(job: Job, products: Products, _: Photograph, __: Bench) -> Update:
    calibration = products.calibration
    if (calibration is None or job.datum is None) and not job.tables:
        return {"lines": None}
    scale, scale_sigma = scale_in_force(job, calibration)
    reference = make_reference(
        products.measured,
        job.lines,
        job.datum,
        job.departures,
        scale=scale,
        scale_sigma=scale_sigma,
        pins=job.pins,
        battens=job.battens,
        holds=job.holds,
        marks=products.points,
        tables=job.tables,
    )
    return {"lines": reference}


def _skin(job: Job, products: Products, original: Photograph, bench: Bench) -> Update:
    lines = products.lines
    scanned = scanned_regions(job, original, None if lines is None else lines.network)
    if lines is None or not job.regions:
        none = None if lines is None else lines.network
        return {"skin": treated_skin(Skin(regions=scanned), job, none) if scanned else None}
    network, notes = soften_regions(lines.network, job.regions, job.softened)
    skin = span_skin(
        network,
        job.regions,
        edge_length=job.edge_length,
        progress=lambda share: bench.say("skin", 0.8 * share),
    )
    skin = with_rolled_fields(skin, job.regions)
    soft = [spot for spot in skin_spots(skin, network, job.crowns) if spot.side != "right"]
    notes = (*notes, *(spot.finding() for spot in soft))
    regions, findings = (*skin.regions, *scanned), (*skin.findings, *notes)
    moves = line_moves(lines.network, network)
    skin = skin.model_copy(update={"regions": regions, "findings": findings, "moves": moves})
    return {"skin": treated_skin(skin, job, lines.network)}


def _needed(products: Products) -> tuple[Reference, Skin] | None:
    if products.lines is None or products.skin is None:
        return None
    return products.lines, products.skin


def _people(job: Job, products: Products, _: Photograph, __: Bench) -> Update:
    built = _needed(products)
    if built is None or job.people is None:
        return {"people": None}
    reference, skin = built
    # Two sides, each as uncertain as a line is on the whole.
    sigma = float(np.sqrt(2.0) * np.median([line.sigma for line in reference.network.lines]))
    answer = fit_people(job.people, skin, width_sigma=sigma)
    datum = job.datum
    around = Around(
        network=reference.network,
        skin=skin,
        front_rims=() if datum is None else datum.front_axle,
        rear_rims=() if datum is None else datum.rear_axle,
    )
    zones = reference.zones_in_force(job.departures)
    whole = complete_fit(
        answer,
        job.people,
        around,
        to_reference=lambda axis, value: place_on_reference(axis, value, zones),
    )
    return {"people": whole}


def _openings(job: Job, products: Products, _: Photograph, __: Bench) -> Update:
    built = _needed(products)
    if built is None or not job.openings:
        return {"openings": None}
    return {"openings": make_openings(job.openings, built[1], built[0].network)}


def _buck(job: Job, products: Products, _: Photograph, __: Bench) -> Update:
    known = _needed(products)
    if known is None or job.buck is None:
        return {"buck": None}
    reference, skin = known
    rims = [spec.name for spec in job.lines if spec.use == "datum" and spec.closed]
    buck = make_buck(
        job.buck,
        reference.network,
        skin,
        built=job.built,
        people=job.people,
        rims=rims,
        remnants=job.remnants,
    )
    return {"buck": buck}


def _panels(job: Job, products: Products, _: Photograph, __: Bench) -> Update:
    if products.skin is None or job.sheet is None or not job.panels:
        return {"panels": None}
    panels = make_panels(
        job.panels,
        products.skin,
        job.sheet,
        job.seams,
        offcuts=job.offcuts,
        treatments=job.edge_treatments,
    )
    return {"panels": panels}


def _gauges(job: Job, products: Products, _: Photograph, __: Bench) -> Update:
    built = _needed(products)
    if built is None or not job.gauges:
        return {"gauges": None}
    return {"gauges": make_gauges(job.gauges, built[1], built[0].network)}


def _checking(job: Job, products: Products, _: Photograph, __: Bench) -> Update:
    skin = products.skin
    if skin is None:
        return {"checks": ()}
    network = None if products.lines is None else products.lines.network
    sigmas = {} if network is None else {line.name: line.doubt for line in network.lines}
    tolerance = job.check_tolerance
    checks = (check_survey(s, skin, tolerance=tolerance, sigmas=sigmas) for s in job.surveys)
    return {"checks": tuple(checks)}


def _plan(job: Job, products: Products, _: Photograph, __: Bench) -> Update:
    if job.plan is None:
        return {"plan": None}
    plan = make_plan(
        job.plan,
        buck=products.buck,
        panels=products.panels,
        gauges=products.gauges,
        checks=products.checks,
    )
    return {"plan": plan}


_STEPS: dict[str, Callable[[Job, Products, Photograph, Bench], Update]] = {
    "pictures": _pictures,
    "lines": _lines,
    "skin": _skin,
    "people": _people,
    "openings": _openings,
    "buck": _buck,
    "panels": _panels,
    "gauges": _gauges,
    "checking": _checking,
    "plan": _plan,
}
"""What computes each step; 'drawings' are made when a packet is asked for."""
