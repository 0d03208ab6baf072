"""People against the printed survey, sums drawn apart from this project, and names of standards."""

import csv
from pathlib import Path

import numpy as np
import pytest

from buckwright.tables.body_sizes import (
    CREWS,
    Crew,
    Who,
    share_crew,
    size_counts,
    size_names,
    size_percentile,
)
from buckwright.tables.rows import table_rows

DATA = Path(__file__).parents[1] / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(newline="") as file:
        return list(csv.DictReader(file))


# Gordon et al. 2014, NATICK/TR-15/007: printed mean, standard deviation and percentiles in mm
# (read second hand, from a copy with page numbers).
PRINTED = rows("ansur_printed.csv")
# Every pair of the survey's people of each mix: summed outside this project from the public data.
PAIRS = rows("ansur_pairs.csv")


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"{row['key']} {row['sex']}")
def test_counts_give_the_printed_mean_deviation_and_percentiles(row: dict[str, str]) -> None:
    sex = "man" if row["sex"] == "M" else "woman"
    first, counts = size_counts(row["key"], sex)
    sizes = first + np.arange(len(counts))
    total = counts.sum()
    assert total == (4082 if sex == "man" else 1986)
    mean = float(sizes @ counts / total)
    deviation = float(np.sqrt((sizes - mean) ** 2 @ counts / (total - 1)))
    # The report prints tenths, and one of its values is rounded from a half.
    assert mean == pytest.approx(float(row["mean"]), abs=0.0501)
    assert deviation == pytest.approx(float(row["sd"]), abs=0.0501)
    for percent in (5, 50, 95):
        if row[f"p{percent}"]:
            printed = float(row[f"p{percent}"])
            assert size_percentile(row["key"], sex, percent) == pytest.approx(printed, abs=0.5)


def test_every_size_that_the_report_was_read_for_is_held_to_it() -> None:
    held = {row["key"] for row in PRINTED}
    assert len(PRINTED) == 2 * len(held)
    assert len(held) >= 12


MIXES: dict[str, Crew] = {
    "MM": CREWS["two men"],
    "MF": CREWS["a woman and a man"],
    "FF": CREWS["two women"],
    "mixed50": CREWS["any two"],
}


def test_pairs_of_every_mix_fit_as_often_as_reckoned_from_the_public_data() -> None:
    assert {row["measure"] for row in PAIRS} >= {
        "bideltoidbreadth", "forearmforearmbreadth", "hipbreadthsitting",
    }  # fmt: skip
    for row in PAIRS:
        ours = share_crew(row["measure"], MIXES[row["crew"]], float(row["W_mm"]))
        assert ours == pytest.approx(float(row["P_exact"]), abs=6e-7), row


@pytest.mark.parametrize("key", ["bideltoidbreadth", "forearmforearmbreadth", "hipbreadthsitting"])
@pytest.mark.parametrize("crew", list(CREWS))
def test_the_convolution_agrees_with_drawing_pairs(key: str, crew: str) -> None:
    rng = np.random.default_rng(21)
    count = 100_000
    total = np.zeros(count)
    for who in CREWS[crew]:
        total += drawn(rng, key, who, count)
    for room in np.percentile(total, [5, 50, 95]):
        expected = share_crew(key, CREWS[crew], float(room))
        error = np.sqrt(expected * (1.0 - expected) / count)
        assert np.mean(total <= room) == pytest.approx(expected, abs=4.0 * error)


def drawn(rng: np.random.Generator, key: str, who: Who, count: int) -> np.ndarray:
    if who == "either":
        woman = rng.integers(0, 2, count) == 0
        return np.where(woman, drawn(rng, key, "woman", count), drawn(rng, key, "man", count))
    first, counts = size_counts(key, who)
    return rng.choice(first + np.arange(len(counts)), size=count, p=counts / counts.sum())


# ISO 7250-1 names (clauses from memory, but 4.2.9, which ISO/TR 7250-2 confirms).
ISO = {
    "shoulder_breadth": ("Shoulder (bideltoid) breadth", "4.2.9"),
    "sitting_height": ("Sitting height (erect)", "4.2.1"),
    "eye_height": ("Eye height, sitting", "4.2.2"),
    "shoulder_height": ("Shoulder height, sitting", "4.2.4"),
    "elbow_height": ("Elbow height, sitting", "4.2.5"),
    "elbow_breadth": ("Elbow-to-elbow breadth", "4.2.10"),
    "hip_breadth": ("Hip breadth, sitting", "4.2.11"),
    "knee_height": ("Knee height", "4.2.14"),
    "buttock_knee": ("Buttock-knee length", "4.4.7"),
}


def test_sizes_have_their_names_of_iso_7250() -> None:
    named = {name.field: (name.iso, name.clause) for name in size_names()}
    assert {field: named[field] for field in ISO} == ISO
    note = next(name.note for name in size_names() if name.field == "elbow_breadth")
    assert "not identical" in note


def test_rooms_have_their_codes_of_sae_j1100() -> None:
    """W5 as NHTSA's letter aiam3071 (1979) quotes SAE J1100(a); the others from memory."""
    rooms = {row["code"]: row for row in table_rows("cab_rooms.csv")}
    assert {"W3", "W31", "W5", "H61", "L34", "H30", "L53", "W7"} == set(rooms)
    assert "25 mm below and 76 mm above" in rooms["W5"]["words"]
    assert [code for code, row in rooms.items() if row["mark"] == "found"] == ["W5"]
