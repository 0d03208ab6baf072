"""A flat plate with edges, a line each way and one speck: its fields are still to be found."""

import numpy as np

from buckwright.model.job import Job, Products, Reference, step_digests
from buckwright.model.lines import LineNetwork, LineSpec, Placement
from buckwright.store import JobFile
from networks_on_paper import network_of

EDGES = ("bottom", "top", "left end", "right end")


def _straight(start, end):
    a, b = np.array(start, dtype=float), np.array(end, dtype=float)
    return lambda t: a + (b - a) * t[:, None]


CURVES = {
    "bottom": _straight((0, 0, 0), (1000, 0, 0)),
    "top": _straight((1000, 400, 0), (0, 400, 0)),
    "left end": _straight((0, 400, 0), (0, 0, 0)),
    "right end": _straight((1000, 0, 0), (1000, 400, 0)),
    "across": _straight((500, 0, 0), (500, 400, 0)),
    "along": _straight((0, 200, 0), (1000, 200, 0)),
}


def plate_reference(curves=CURVES) -> Reference:
    """The lines step's answer for these curves."""
    network: LineNetwork = network_of(curves)
    placement = Placement(
        scale=1.0, rotation=np.eye(3), origin=np.zeros(3), wheelbase=2240.0, asymmetry_rms=0.0
    )
    return Reference(
        placement=placement, placed=(), reference=network, network=network, wheelbase=2240.0
    )


def plate_specs(curves=CURVES) -> tuple[LineSpec, ...]:
    """Edges round it, tape on it."""
    return tuple(LineSpec(name=n, mark="edge" if n in EDGES else "tape") for n in curves)


def plate_job(path) -> None:
    """A job file with the plate's lines worked out, a speck among them."""
    curves = {**CURVES, "speck": _straight((700, 100, 0), (702, 100, 0))}
    job = Job(name="Plate", lines=plate_specs(curves))
    with JobFile.create(path, job) as file:
        digests = {"lines": step_digests(file.job())["lines"]}
        file.keep_products(Products(lines=plate_reference(curves)), digests)
