import numpy as np
import pytest

from buckwright.lines import fair_line
from buckwright.model.holds import LineHold
from buckwright.model.lines import Line, PlacedLine
from meshes_on_paper import MOVES


def _traced(noise: float, *, every: float = 10.0, seed: int = 3) -> PlacedLine:
    along = np.arange(0.0, 1500.0 + every, every)
    points = np.stack([along, 40.0 * np.sin(along / 400.0), 300.0 * np.cos(along / 700.0)], axis=1)
    points = points + np.random.default_rng(seed).normal(0.0, noise, points.shape)
    return PlacedLine(name="l", points=points, sigma=np.full(len(points), noise), closed=False)


def test_a_fair_line_is_surer_than_its_points_and_the_more_so_the_more_there_are() -> None:
    few, many = fair_line(_traced(2.0, every=20.0)), fair_line(_traced(2.0, every=5.0))
    assert many.fair_sigma is not None
    assert few.fair_sigma is not None
    assert many.fair_sigma < 0.75 * few.fair_sigma < 0.4 * few.sigma
    assert many.doubt == many.fair_sigma


def test_its_doubt_grows_with_that_of_its_points() -> None:
    one, four = (fair_line(_traced(noise)).doubt for noise in (1.0, 4.0))
    assert 2.0 < four / one < 4.5


@pytest.mark.parametrize("name", MOVES)
def test_its_doubt_moves_with_the_line(name: str) -> None:
    placed, scale = _traced(1.5), 2.5 if name == "scale" else 1.0
    moved = placed.model_copy(
        update={"points": MOVES[name](placed.points), "sigma": scale * placed.sigma}
    )
    first, second = fair_line(placed), fair_line(moved)
    assert second.doubt == pytest.approx(scale * first.doubt, rel=0.02)
    assert second.alike == pytest.approx(scale * first.alike, rel=0.02)


def test_reversed_it_is_as_sure() -> None:
    placed = _traced(1.5)
    turned = placed.model_copy(update={"points": placed.points[::-1].copy()})
    assert fair_line(turned).doubt == pytest.approx(fair_line(placed).doubt, rel=0.02)


def test_a_line_held_to_a_typed_tolerance_is_as_sure_as_that_makes_it() -> None:
    placed = _traced(2.0)
    loose, tight = (
        fair_line(placed, hold=LineHold(line="l", tolerance=by)).doubt for by in (12.0, 6.0)
    )
    assert tight < loose


def test_answers_of_before_tell_the_doubt_of_their_points() -> None:
    kept = fair_line(_traced(1.0)).model_dump(mode="json")
    for new in ("fair_sigma", "alike"):
        del kept[new]
    line = Line.model_validate(kept)
    assert line.fair_sigma is None
    assert line.doubt == line.sigma
