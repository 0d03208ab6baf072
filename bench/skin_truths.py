"""Four bodies known in closed form: ours beside Open CASCADE's filling, Gordon and Coons."""

import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time

import numpy as np

from buckwright.model.creases import CreaseSpec
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec
from buckwright.skin import soften_lines, span_region

sys.path += [str(Path(__file__).parents[1] / part) for part in ("tests", "docs/experiments")]
from skin_engine import cab, noisy, seven_by_seven

from networks_on_paper import TUNNEL_REACH, cap, network_of, tunnel, tunnel_surface
from skin_peers import coons, filled, gordon
from truths_on_paper import (
    TRUTHS,
    Surface,
    Truth,
    bonnet,
    clean_lines,
    grid_lines,
    grid_spec,
    judged,
    parts_of,
    traced_lines,
    wigley,
)

EDGE = 30.0
LEFT = 0.25
"""Of the noise of points 10 mm apart, so much is left in a line faired through them: measured
0.19 to 0.25, square to the four bodies."""
Mesh = tuple[np.ndarray, np.ndarray]
Engine = Callable[[LineNetwork, RegionSpec], Mesh]


def main() -> None:
    for title, lines in (
        ("clean lines", clean_lines),
        ("lines traced with 3 mm of noise, after fairing", lambda s: traced_lines(s, 3.0, 1)),
    ):
        for name in TRUTHS:
            pieces = [(lines(part), grid_spec(), Truth.of(part)) for part in parts_of(name)]
            _table(f"{name}, {title}", pieces)
    _cab_softened()
    _hard_networks()


def _table(title: str, pieces: list[tuple[LineNetwork, RegionSpec, Truth]]) -> None:
    """Each engine on the pieces of a body, one by one."""
    print(f"\n{title}")
    print(f"{'':<34}{'CPU s':>8}{'greatest mm':>13}{'rms mm':>11}{'wrong sign %':>14}", flush=True)
    for name, engine in _engines(pieces[0][0]).items():
        begin, found = process_time(), []
        try:
            found = [(engine(network, spec), truth) for network, spec, truth in pieces]
        except Exception as error:
            print(f"{name:<34}{process_time() - begin:>8.1f}  no answer: {_first(error)}")
            continue
        spent = process_time() - begin
        figures = np.array([judged(*mesh, truth) for mesh, truth in found])
        share = np.array([len(mesh[0]) for mesh, _ in found], dtype=float)
        share /= share.sum()
        most, rms = figures[:, 0].max(), np.sqrt(share @ figures[:, 1] ** 2)
        wrong = share @ figures[:, 2]
        print(f"{name:<34}{spent:>8.1f}{most:>13.4g}{rms:>11.4g}{wrong:>14.2f}", flush=True)


def _engines(network: LineNetwork) -> dict[str, Engine]:
    sigma = float(np.median([line.sigma for line in network.lines]))
    engines: dict[str, Engine] = {
        "Open CASCADE filling": _filling,
        "Open CASCADE Gordon": gordon,
        "Open CASCADE Coons, boundary only": coons,
        "ours": _ours,
    }
    if sigma > 0.0:
        # What is kept with a line is the doubt of its points; faired, it lies nearer than they.
        engines["ours, told what fairing left"] = lambda n, s: _ours(_doubted(n, LEFT * sigma), s)
        engines["ours, lines softened within 1 mm"] = lambda n, s: _ours(
            soften_lines(n, s, tolerance=1.0).network, s
        )
    return engines


def _ours(network: LineNetwork, spec: RegionSpec) -> Mesh:
    region = span_region(network, spec, edge_length=EDGE)
    return region.vertices, region.triangles


def _doubted(network: LineNetwork, sigma: float) -> LineNetwork:
    lines = tuple(line.model_copy(update={"sigma": sigma}) for line in network.lines)
    return network.model_copy(update={"lines": lines})


def _filling(network: LineNetwork, spec: RegionSpec) -> Mesh:
    """Its surface at the places of our vertices, so that curvature is read from one mesh."""
    vertices, triangles = _ours(_doubted(network, 0.0), spec)
    return filled(network, spec, vertices), triangles


def _first(error: Exception) -> str:
    return str(error).strip().split("\n")[0][:60] or type(error).__name__


def _cab_softened() -> None:
    """The cab of the design notes with noise that leaves a hard skin 0.4 to 0.5 mm off."""
    truth = Truth.of(cab, 501)
    for alike in (60.0, 120.0):

        def half(s: np.ndarray, t: np.ndarray, alike: float = alike) -> np.ndarray:
            return 0.5 * (cab(s, t) + noisy(cab, alike, 0)(s, t))

        network, spec = seven_by_seven(half, 0.5)
        print(f"\ncrowned cab, smooth noise alike over {alike:.0f} mm: greatest, rms mm, wrong %")
        for name, lines in (
            ("lines hard", _doubted(network, 0.0)),
            ("lines within their doubt", network),
            ("softened within 1 mm", soften_lines(network, spec, tolerance=1.0).network),
        ):
            most, rms, wrong = judged(*_ours(lines, spec), truth)
            print(f"{name:<34}{most:>13.3f}{rms:>9.4f}{wrong:>14.2f}")


def _hard_networks() -> None:
    """Where a surface over a grid of lines has no answer."""
    network, spec = tunnel()

    def vault(s: np.ndarray, t: np.ndarray) -> np.ndarray:
        return tunnel_surface(1600.0 * s, TUNNEL_REACH * (2.0 * t - 1.0))

    truth = Truth.of(vault)
    _table("a vault of more than half a turn, with a hole", [(network, spec, truth)])
    truth = Truth.of(wigley)
    _table("five sides", [(*_five_sided(wigley), truth)])
    _table("lines that miss each other by 2 mm", [(_missing(wigley), grid_spec(), truth)])
    _table("a closed line that bounds a cap alone", [(*cap(), Truth.of(_cap))])
    _table("a crease inside the region", [(*_creased(), Truth.of(bonnet))])


def _cap(s: np.ndarray, t: np.ndarray) -> np.ndarray:
    polar, turn = 0.62 * s, 2.0 * np.pi * t
    r = 500.0 * np.sin(polar)
    return np.stack([r * np.cos(turn), r * np.sin(turn), 500.0 * np.cos(polar)], axis=-1)


def _creased() -> tuple[LineNetwork, RegionSpec]:
    """The bonnet as one region with its break as a crease inside."""
    spec = grid_spec().model_copy(update={"creases": (CreaseSpec(line="arch 3"),)})
    return clean_lines(bonnet), spec


def _missing(surface: Surface) -> LineNetwork:
    """Every other lengthwise line inside 2 mm too low, and no crossing told."""

    def low(curve: Callable[[np.ndarray], np.ndarray]) -> Callable[[np.ndarray], np.ndarray]:
        return lambda t: curve(t) - np.array([0.0, 0.0, 1.98])

    curves = grid_lines(surface)
    curves |= {name: low(curves[name]) for name in ("long 1", "long 3", "long 5")}
    return network_of(curves, tolerance=1e-3)


def _five_sided(surface: Surface) -> tuple[LineNetwork, RegionSpec]:
    corners = np.array([[0.1, 0.2], [0.5, 0.02], [0.95, 0.3], [0.8, 0.95], [0.2, 0.85]])
    middle = corners.mean(axis=0)

    def side(a: np.ndarray, b: np.ndarray) -> Callable[[np.ndarray], np.ndarray]:
        def curve(t: np.ndarray) -> np.ndarray:
            at = a + (b - a) * t[:, None]
            return surface(at[:, 0], at[:, 1])

        return curve

    curves = {f"side {k}": side(corners[k], corners[(k + 1) % 5]) for k in range(5)}
    curves |= {f"spoke {k}": side(corners[k], middle) for k in range(5)}
    spec = RegionSpec(
        name="five sides",
        boundary=tuple(f"side {k}" for k in range(5)),
        inner=tuple(f"spoke {k}" for k in range(5)),
    )
    return network_of(curves), spec
