"""Four bodies known in closed form: ours beside Open CASCADE's filling, Gordon and Coons.

`--draws N` draws the noise of traced lines so many times over; the tables then give means.
"""

import sys
from argparse import ArgumentParser
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

from networks_on_paper import TUNNEL_REACH, cap, tunnel, tunnel_surface
from skin_peers import coons, filled, gordon
from truths_on_paper import (
    TRUTHS,
    Truth,
    bonnet,
    clean_lines,
    five_sided,
    grid_spec,
    judged,
    missing_lines,
    parts_of,
    traced_lines,
    wigley,
)

EDGE = 30.0
NOISE = 3.0
Mesh = tuple[np.ndarray, np.ndarray]
Engine = Callable[[LineNetwork, RegionSpec], Mesh]
Piece = tuple[LineNetwork, RegionSpec, Truth]


def main() -> None:
    asked = ArgumentParser()
    asked.add_argument("--draws", type=int, default=1)
    draws = range(1, asked.parse_known_args()[0].draws + 1)
    for name in TRUTHS:
        parts = [(part, Truth.of(part)) for part in parts_of(name)]
        clean = [(clean_lines(part), grid_spec(), truth) for part, truth in parts]
        _table(f"{name}, clean lines", [clean])
        traced = [
            [(traced_lines(part, NOISE, seed), grid_spec(), truth) for part, truth in parts]
            for seed in draws
        ]
        _table(f"{name}, lines traced with {NOISE:g} mm of noise, after fairing", traced)
    _cab_softened()
    _hard_networks()


def _table(title: str, draws: list[list[Piece]]) -> None:
    """Each engine on the pieces of a body, one by one; every draw of them."""
    print(f"\n{title}")
    head = f"{'':<34}{'CPU s':>8}{'greatest mm':>13}{'rms mm':>11}{'wrong sign %':>14}"
    print(head + ("" if len(draws) < 2 else "   rms / wrong of each draw"), flush=True)
    for name, engine in _engines(draws[0][0][0]).items():
        begin = process_time()
        try:
            found = np.array([_figures(engine, pieces) for pieces in draws])
        except Exception as error:
            print(f"{name:<34}{process_time() - begin:>8.1f}  no answer: {_first(error)}")
            continue
        spent = (process_time() - begin) / len(draws)
        most, wrong = found[:, 0].mean(), found[:, 2].mean()
        rms = np.sqrt(np.mean(found[:, 1] ** 2))
        each = "".join(f"  {r:.3f} / {w:.2f}" for _, r, w in found) if len(draws) > 1 else ""
        print(f"{name:<34}{spent:>8.1f}{most:>13.4g}{rms:>11.4g}{wrong:>14.2f} {each}", flush=True)


def _figures(engine: Engine, pieces: list[Piece]) -> tuple[float, float, float]:
    """Greatest and rms distance, mm, and share of wrong sign, %, of all pieces together."""
    meshes = [engine(network, spec) for network, spec, _ in pieces]
    figures = np.array(
        [judged(*mesh, truth) for mesh, (_, _, truth) in zip(meshes, pieces, strict=True)]
    )
    share = np.array([len(mesh[0]) for mesh in meshes], dtype=float)
    share /= share.sum()
    return figures[:, 0].max(), np.sqrt(share @ figures[:, 1] ** 2), share @ figures[:, 2]


def _engines(network: LineNetwork) -> dict[str, Engine]:
    engines: dict[str, Engine] = {
        "Open CASCADE filling": _filling,
        "Open CASCADE Gordon": gordon,
        "Open CASCADE Coons, boundary only": coons,
        "ours": _ours,
    }
    if any(line.doubt > 0.0 for line in network.lines):
        engines["ours, lines softened within 1 mm"] = lambda n, s: _ours(
            soften_lines(n, s, tolerance=1.0).network, s
        )
    return engines


def _ours(network: LineNetwork, spec: RegionSpec) -> Mesh:
    region = span_region(network, spec, edge_length=EDGE)
    return region.vertices, region.triangles


def _undoubted(network: LineNetwork) -> LineNetwork:
    sure = {"sigma": 0.0, "fair_sigma": None}
    lines = tuple(line.model_copy(update=sure) for line in network.lines)
    return network.model_copy(update={"lines": lines})


def _filling(network: LineNetwork, spec: RegionSpec) -> Mesh:
    """Its surface at the places of our vertices, so that curvature is read from one mesh."""
    vertices, triangles = _ours(_undoubted(network), spec)
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
            ("lines hard", _undoubted(network)),
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
    _table("a vault of more than half a turn, with a hole", [[(network, spec, truth)]])
    truth = Truth.of(wigley)
    _table("five sides", [[(*five_sided(wigley), truth)]])
    _table("lines that miss each other by 2 mm", [[(missing_lines(wigley), grid_spec(), truth)]])
    _table("a closed line that bounds a cap alone", [[(*cap(), Truth.of(_cap))]])
    _table("a crease inside the region", [[(*_creased(), Truth.of(bonnet))]])


def _cap(s: np.ndarray, t: np.ndarray) -> np.ndarray:
    polar, turn = 0.62 * s, 2.0 * np.pi * t
    r = 500.0 * np.sin(polar)
    return np.stack([r * np.cos(turn), r * np.sin(turn), 500.0 * np.cos(polar)], axis=-1)


def _creased() -> tuple[LineNetwork, RegionSpec]:
    """The bonnet as one region with its break as a crease inside."""
    spec = grid_spec().model_copy(update={"creases": (CreaseSpec(line="arch 3"),)})
    return clean_lines(bonnet), spec
