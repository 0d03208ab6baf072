"""An invented job with invented answers, in the shape of a small van.

Nothing here is computed by a step: the page must show whatever the store holds.
"""

from pathlib import Path

import numpy as np

from buckwright.model.checking import Survey
from buckwright.model.gauges import GaugeSpec
from buckwright.model.job import Job, Products, step_digests
from buckwright.model.lines import Departure, LineSpec
from buckwright.model.pictures import Mat
from buckwright.model.skin import RegionSpec
from buckwright.store import JobFile
from web.invented_buck import rack, whole_buck, whole_spec
from web.invented_metal import make_panels, panel_specs
from web.invented_openings import make_openings, opening_specs
from web.invented_pictures import make_measured, make_pictures
from web.invented_shape import SCALE, make_lines, make_skin, true_lines
from web.invented_work import (
    make_check,
    make_gauges,
    make_people,
    make_plan,
    people_question,
    plan_spec,
)


def job_and_answers():
    """The job, its photographs, and everything worked out."""
    sources, blobs, traces, calibration = make_pictures()
    skin = make_skin()
    names = tuple(LineSpec(name=name) for name in true_lines())
    job = Job(
        name="Plover",
        revision="A",
        scale=SCALE,
        mat=Mat(squares=(19, 13), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250"),
        pictures=sources,
        traces=traces,
        lines=names,
        departures=(
            Departure(
                name="longer load floor",
                reason="two bales side by side",
                axis="x",
                start=1500.0,
                end=1900.0,
                by=60.0,
            ),
        ),
        regions=(RegionSpec(name="body", boundary=("sill left", "rear edge")),),
        people=people_question(),
        openings=opening_specs(),
        buck=whole_spec(),
        remnants=rack(),
        **panel_specs(),
        gauges=(GaugeSpec(region="front wing", axis="x", at=(-200.0, 0.0, 200.0)),),
        surveys=(
            Survey(name="front wing left", region="front wing", points=np.zeros((4, 3)), sigma=0.2),
        ),
        plan=plan_spec(),
    )
    answers = Products(
        calibration=calibration,
        measured=make_measured(),
        lines=make_lines(),
        skin=skin,
        people=make_people(),
        openings=make_openings(),
        buck=whole_buck(),
        panels=make_panels(),
        gauges=make_gauges(),
        checks=(make_check(skin),),
        plan=make_plan(),
    )
    return job, blobs, answers


def make_job_file(path: Path, *, worked_out: bool = True) -> None:
    """The invented job as a file, with or without its answers."""
    job, blobs, answers = job_and_answers()
    with JobFile.create(path, job) as file:
        for blob in blobs:
            file.add_blob(blob)
        if worked_out:
            digests = step_digests(file.job())
            digests.pop("drawings")
            file.keep_products(answers, digests)
