"""Breadths of people against the printed survey report and independent sums."""

import numpy as np
import pytest

from buckwright.tables.anthropometry import (
    Breadth,
    Sex,
    breadth_counts,
    breadth_percentile,
    share_abreast,
)

# Gordon et al. 2014, NATICK/TR-15/007, printed mean, standard deviation, 5th, 50th and 95th
# percentile in mm (read second hand, from a copy with page numbers).
PRINTED: list[tuple[Breadth, Sex, float, float, float, float, float]] = [
    ("bideltoid", "men", 510.4, 32.5, 459, 509, 567),
    ("bideltoid", "women", 450.3, 28.7, 406, 450, 499),
    ("forearm", "men", 579.9, 50.9, 497, 579, 667),
    ("forearm", "women", 494.8, 41.0, 432, 492, 564),
]


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"{row[0]} {row[1]}")
def test_counts_give_the_printed_mean_deviation_and_percentiles(
    row: tuple[Breadth, Sex, float, float, float, float, float],
) -> None:
    breadth, sex, mean, deviation, *percentiles = row
    millimetres, counts = breadth_counts(breadth, sex)
    total = counts.sum()
    ours = float(millimetres @ counts / total)
    spread = float(np.sqrt((millimetres - ours) ** 2 @ counts / (total - 1)))
    assert ours == pytest.approx(mean, abs=0.051)
    assert spread == pytest.approx(deviation, abs=0.051)
    for percent, printed in zip((5, 50, 95), percentiles, strict=True):
        # The report prints whole millimetres.
        assert breadth_percentile(breadth, sex, percent) == pytest.approx(printed, abs=0.5)


def test_the_survey_has_as_many_people_as_the_report_says() -> None:
    assert breadth_counts("bideltoid", "men")[1].sum() == 4082
    assert breadth_counts("forearm", "women")[1].sum() == 1986


@pytest.mark.parametrize(
    ("breadth", "room", "share"),
    [("bideltoid", 1150.0, 0.99903), ("forearm", 1250.0, 0.97097), ("forearm", 1150.0, 0.79962)],
)
def test_two_abreast_fit_as_often_as_reckoned_from_the_public_data(
    breadth: Breadth, room: float, share: float
) -> None:
    """Every pair of ANSUR II's people, sexes weighed alike: summed once, outside this project."""
    assert share_abreast(breadth, room) == pytest.approx(share, abs=5.1e-6)


def test_the_convolution_agrees_with_drawing_pairs() -> None:
    rng = np.random.default_rng(11)
    people = []
    for sex in ("women", "men"):
        millimetres, counts = breadth_counts("bideltoid", sex)  # type: ignore[arg-type]
        people.append(rng.choice(millimetres, size=400_000, p=counts / counts.sum()))
    which = rng.integers(0, 2, size=400_000)
    drawn = np.where(which == 0, people[0], people[1])
    pairs = drawn[:200_000] + drawn[200_000:]
    for room in (900.0, 960.0, 1050.0):
        expected = share_abreast("bideltoid", room)
        error = np.sqrt(expected * (1.0 - expected) / len(pairs))
        assert np.mean(pairs <= room) == pytest.approx(expected, abs=4.0 * error)


def test_a_group_of_nobody_is_refused() -> None:
    with pytest.raises(ValueError, match="one person"):
        share_abreast("bideltoid", 1000.0, people=0)
