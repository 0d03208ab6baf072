"""The small cab as a job file whose lines really come from measured points, so that they pull."""

from functools import cache
from pathlib import Path

from buckwright.lines import make_reference
from buckwright.model.job import Job, Products, Reference, step_digests
from buckwright.model.lines import Departure
from buckwright.model.pictures import Mat
from buckwright.model.skin import RegionSpec, Skin
from buckwright.skin import span_skin
from buckwright.store import JobFile
from small_cab import DATUM, SPECS, measured_lines
from web.invented_pictures import make_pictures

LONGER = Departure(
    name="longer load floor", reason="load", axis="x", start=600.0, end=1000.0, by=60.0
)


BARREL = RegionSpec(
    name="body",
    boundary=("sill left", "front arch", "sill right", "rear arch"),
    inner=("roof centre", "belt left", "belt right"),
)


@cache
def _spanned() -> Skin:
    return span_skin(_answer()[1].network, (BARREL,), edge_length=90.0)


def make_spanned_cab_file(path: Path) -> None:
    """The same with one region over the whole barrel, its skin worked out."""
    make_cab_file(path)
    with JobFile.open(path) as file:
        job = file.job().model_copy(update={"regions": (BARREL,), "edge_length": 90.0})
        file.change("the skin's region", job)
        digests = step_digests(file.job())
        products = _answer()[0].model_copy(update={"skin": _spanned()})
        file.keep_products(products, {step: digests[step] for step in ("lines", "skin")})


@cache
def _answer() -> tuple[Products, Reference]:
    calibration = make_pictures()[3]
    measured = measured_lines(sigma=1.0)
    reference = make_reference(
        measured, SPECS, DATUM, (LONGER,), scale=8.0, scale_sigma=calibration.scale_sigma
    )
    return Products(calibration=calibration, measured=measured, lines=reference), reference


def make_cab_file(path: Path) -> None:
    """The job with its pictures and lines worked out, and a skin that is asked for."""
    sources, blobs, traces, _ = make_pictures()
    job = Job(
        name="Cab",
        scale=8.0,
        mat=Mat(squares=(19, 13), square_mm=30.0, marker_mm=22.0, dictionary="DICT_5X5_250"),
        pictures=sources,
        traces=traces,
        lines=SPECS,
        datum=DATUM,
        departures=(LONGER,),
        regions=(RegionSpec(name="body", boundary=("sill left", "rear arch")),),
    )
    with JobFile.create(path, job) as file:
        for blob in blobs:
            file.add_blob(blob)
        digests = step_digests(file.job())
        file.keep_products(_answer()[0], {step: digests[step] for step in ("pictures", "lines")})
