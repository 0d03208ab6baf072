"""Nesting against area bounds, an exact tiling and open benchmark strips, checked by shapely.

Strips: ESICUP data sets, 2D irregular ('shirts', 'trousers'), with the record densities kept by
the authors of the packer `spyrrow`. Beside the packer itself: `python -m bench nesting`.
"""

import json
from pathlib import Path

import numpy as np
import pytest
import shapely

from buckwright.geometry.nesting import nest_pieces, plates_used
from buckwright.geometry.nesting_pieces import Piece, Plate
from buckwright.geometry.nesting_press import press_pieces, press_strip

DATA = Path(__file__).parents[1] / "data"
PROTOTYPE = 4.25 / 2.86
"""Sheets over area bound that the packer, driven sheet by sheet, took for forty blanks."""


def read(name):
    return json.loads((DATA / name).read_text())


@pytest.fixture(scope="module")
def forty():
    data = read("forty_blanks.json")
    turns = tuple(0.5 * np.pi * k for k in range(4))
    return [Piece(np.array(o), turns) for o in data["blanks"]], [Plate(tuple(data["sheet"]))], data


def worst(placed, pieces, size):
    """Least gap and area lying double, straight from shapely."""
    shapes = np.array([shapely.Polygon(p.outline(pieces)) for p in placed])
    assert shapely.box(0.0, 0.0, *size).contains(shapely.union_all(shapes))
    first, second = np.triu_indices(len(shapes), k=1)
    double = shapely.area(shapely.intersection(shapes[first], shapes[second])).sum()
    return float(shapely.distance(shapes[first], shapes[second]).min()), float(double)


@pytest.mark.slow
@pytest.mark.parametrize("press", [False, True])
def test_forty_blanks_take_fewer_sheets_than_the_prototype_took(forty, press):
    pieces, plates, data = forty
    assert len(pieces) == 40
    keep = {"gap": data["gap"], "margin": data["margin"]}
    if press:
        nested = press_pieces(pieces, plates, rounds=1, **keep)
    else:
        nested = nest_pieces(pieces, plates, **keep)
    assert nested.left_over == ()
    for fill in nested.fills:
        gap, double = worst(fill.placed, pieces, plates[0].size)
        assert gap >= data["gap"] - 0.01
        assert double == 0.0
    area = sum(shapely.Polygon(piece.outline).area for piece in pieces)
    bound = area / (plates[0].size[0] * plates[0].size[1])
    assert bound < plates_used(nested, pieces, plates) < PROTOTYPE * bound


def test_rectangles_that_tile_a_sheet_are_laid_with_two_cells_to_spare_for_each():
    pieces = [Piece(np.array([[0, 0], [300, 0], [300, 200], [0, 200]], float)) for _ in range(24)]
    nested = nest_pieces(pieces, [Plate((1270.0, 1270.0))], gap=0.0, margin=0.0)
    assert len(nested.fills) == 1


@pytest.mark.slow
@pytest.mark.parametrize("name", ["shirts", "trousers"])
def test_benchmark_strips_lie_apart_and_near_their_record(name):
    strip = read("strips.json")[name]
    turns = tuple(np.radians(strip["turns_deg"]))
    pieces = [
        Piece(np.array(one["outline"], float), turns)
        for one in strip["pieces"]
        for _ in range(one["count"])
    ]
    fill = press_strip(pieces, strip["height"], gap=0.0, margin=0.0, seconds=3)
    assert sorted(p.piece for p in fill.placed) == list(range(len(pieces)))
    area = sum(shapely.Polygon(piece.outline).area for piece in pieces)
    _, double = worst(fill.placed, pieces, (fill.length + 1e-3, strip["height"] + 1e-3))
    assert double < 1e-5 * area
    assert 0.85 * strip["record_density"] < area / (fill.length * strip["height"]) < 1.0
