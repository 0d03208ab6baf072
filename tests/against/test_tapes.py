"""Tapes held against lines that are exact, and their factor against numpy's least squares."""

from functools import cache

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.lines import make_reference
from buckwright.lines.tape_check import check_tapes, scale_from_tapes
from buckwright.lines.tape_choices import told_tape
from buckwright.lines.taping import TapeGround, on_lines, tape_ground
from buckwright.model.tapes import Tape
from small_cab import (
    BELT,
    DATUM,
    FRONT,
    REAR,
    SPECS,
    WHEELBASE,
    exact_lines,
    measured_lines,
    surface,
)


@cache
def ground(scale: float = 8.0) -> TapeGround:
    """Lines of the small cab, measured at a scale that may be wrong (8 is right)."""
    reference = make_reference(
        measured_lines(sigma=0.05), SPECS, DATUM, (), scale=scale, scale_sigma=0.0
    )
    return tape_ground(reference, SPECS, scale)


def exact() -> dict[str, tuple[dict[str, object], float]]:
    """How each tape is laid, and its exact length, from the cab's formula in small steps."""
    lines = {name: points for name, (points, _) in exact_lines(20_001).items()}

    def along(points: np.ndarray) -> float:
        return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())

    belt, arch = lines["belt left"], lines["rear arch"]
    front, rear = surface(np.array([FRONT, REAR]), np.full(2, BELT))
    body = np.vstack([points for name, points in lines.items() if "rim" not in name])
    size = np.ptp(body, axis=0)
    turn = np.linspace(BELT, np.pi - BELT, 20_001)
    return {
        "belt": ({"of": "along", "line": "belt left"}, along(belt)),
        "girth": ({"of": "along", "line": "rear arch"}, along(arch)),
        "over the belt": (
            {
                "of": "along",
                "line": "rear arch",
                "places": ["rear arch + belt left", "rear arch + belt right"],
            },
            along(surface(np.full(20_001, REAR), turn)),
        ),
        "chord": (
            {"of": "between", "places": ["belt left + front arch", "belt left + rear arch"]},
            float(np.linalg.norm(front - rear)),
        ),
        "across": (
            {"of": "between", "places": ["sill left: front", "sill right: front"]},
            1200.0,
        ),
        "axles": ({"of": "wheelbase"}, WHEELBASE),
        "rims": (
            {"of": "between", "places": ["front rim: centre", "rear rim: centre"]},
            WHEELBASE,
        ),
        "long": ({"of": "length"}, float(size[0])),
        "wide": ({"of": "width"}, float(size[1])),
        "high": ({"of": "height"}, float(body[:, 2].max())),
    }


def tapes(times: float = 1.0, sigma: float = 1.0, **off: float) -> list[Tape]:
    return [
        told_tape(
            size=times * size + off.get(name.replace(" ", "_"), 0.0),
            sigma=sigma,
            name=name,
            **asked,
        )
        for name, (asked, size) in exact().items()
    ]


@pytest.mark.parametrize("name", exact())
def test_lines_give_the_exact_length_where_a_tape_is_laid(name: str) -> None:
    """Source of the values: the cab's formula."""
    asked, size = exact()[name]
    told, sigma = on_lines(told_tape(size=size, sigma=1.0, **asked), ground())
    assert told == pytest.approx(size, abs=1.5)
    assert 0.0 < sigma < 1.0


def test_right_tapes_contradict_nothing() -> None:
    found = check_tapes(tapes(), ground())
    assert found.findings == ()
    assert len(found.rows) == 10
    assert abs(found.factor - 1.0) < 2e-3


def test_exactly_the_planted_wrong_tapes_are_found_and_why_they_may_be() -> None:
    """100 mm mark held at the start, two figures swapped, and one that nothing explains."""
    belt = exact()["belt"][1]
    swapped = 2100.0 - exact()["across"][1]
    found = check_tapes(tapes(girth=100.0, across=swapped, long=-37.0), ground())
    by_name = {finding.where: finding.message for finding in found.findings}
    assert set(by_name) == {"girth", "across", "long"}
    assert "100 mm mark" in by_name["girth"]
    assert "may be swapped: 1200" in by_name["across"]
    assert {row.name for row in found.rows if row.outlier} == set(by_name)
    assert [row.name for row in found.rows[:2]] == ["across", "girth"]
    inches = tapes(belt=belt / 25.4 - belt)
    (finding,) = check_tapes(inches, ground()).findings
    assert "seems to be in inches" in finding.message


def test_a_wrong_scale_is_told_as_one_factor_and_the_wrong_tape_apart_from_it() -> None:
    found = check_tapes(tapes(girth=60.0), ground(8.0 * 0.99))
    assert [finding.code for finding in found.findings] == ["scale-off", "tape-off"]
    assert found.factor == pytest.approx(1.0 / 0.99, abs=1e-3)
    assert "+1.0" in found.findings[0].message
    assert found.findings[1].where == "girth"
    model = [t.model_copy(update={"size": t.size / 8.0}) for t in tapes(sigma=0.2)]
    said = check_tapes(model, ground()).findings[0].message
    assert "laid on the model but said to be at full size" in said
    laid = [tape.model_copy(update={"on": "model"}) for tape in model]
    assert check_tapes(laid, ground()).findings == ()


def test_the_factor_is_weighted_least_squares_as_numpy_solves_it() -> None:
    """Source of the value: numpy.linalg.lstsq on rows divided by their standard errors."""
    laid = [
        tape.model_copy(update={"sigma": 0.5 + 0.3 * k, "size": tape.size + (-1) ** k})
        for k, tape in enumerate(tapes(times=1.01))
    ]
    scale = scale_from_tapes(laid, ground())
    assert scale.left_out == ()
    lines = [on_lines(tape, ground()) for tape in laid]
    doubt = np.array([np.hypot(t.sigma, s) for t, (_, s) in zip(laid, lines, strict=True)])
    rows = np.array([size for size, _ in lines]) / doubt
    right = np.array([tape.size for tape in laid]) / doubt
    factor = np.linalg.lstsq(rows[:, None], right, rcond=None)[0][0]
    assert scale.factor == pytest.approx(factor, rel=1e-12)


def test_trusted_tapes_bring_the_scale_right_and_leave_the_wrong_one_out() -> None:
    wrong = ground(8.0 * 0.98)
    scale = scale_from_tapes(tapes(girth=90.0), wrong)
    assert scale.left_out == ("girth",)
    assert scale.factor == pytest.approx(1.0 / 0.98, abs=1e-3)
    again = scale_from_tapes(tapes(), ground(8.0 * 0.98 * scale.factor), scale)
    assert again.factor == pytest.approx(scale.factor, rel=2e-3)


def test_two_tapes_that_contradict_each_other_are_refused() -> None:
    two = [tape for tape in tapes(girth=80.0) if tape.name in ("girth", "belt")]
    with pytest.raises(JobError, match="Two tapes contradict"):
        scale_from_tapes(two, ground())
    with pytest.raises(JobError, match="No tape"):
        scale_from_tapes([], ground())
    inches = [tape.model_copy(update={"size": tape.size / 25.4}) for tape in tapes()]
    with pytest.raises(JobError, match="read in inches"):
        scale_from_tapes(inches, ground())


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"of": "around", "size": 100.0, "sigma": 1.0}, "no way to lay"),
        ({"of": "length", "size": 0.0, "sigma": 1.0}, "cannot be"),
        ({"of": "length", "size": float("nan"), "sigma": 1.0}, "cannot be"),
        ({"of": "length", "size": 100.0, "sigma": 0.0}, "cannot be sure"),
        ({"of": "between", "size": 100.0, "sigma": 1.0, "places": ["a: front"]}, "two of them"),
        ({"of": "between", "size": 9.0, "sigma": 1.0, "places": ["a: in", "b"]}, "no place"),
        ({"of": "along", "size": 100.0, "sigma": 1.0}, "names that line"),
        ({"of": "length", "size": 100.0, "sigma": 1.0, "places": ["a", "b"]}, "no places"),
    ],
)
def test_what_is_no_tape_is_refused(asked: dict[str, object], said: str) -> None:
    with pytest.raises(JobError) as refusal:
        told_tape(**asked)
    assert said in refusal.value.problem


@pytest.mark.parametrize(
    ("places", "said"),
    [
        (("nobody: front", "belt left: rear"), "no line or point"),
        (("belt left", "belt left: rear"), "does not say where"),
        (("belt left + roof centre", "belt left: rear"), "do not cross"),
        (("belt left + hatch left", "belt left: rear"), "cross 2 times"),
        (("belt left: centre", "belt left: rear"), "no rim"),
    ],
)
def test_a_place_that_is_not_there_is_told_and_the_other_tapes_stand(
    places: tuple[str, str], said: str
) -> None:
    lost = told_tape("between", size=100.0, sigma=1.0, name="lost", places=places)
    found = check_tapes([*tapes(), lost], ground())
    (finding,) = found.findings
    assert (finding.code, finding.where) == ("tape-nowhere", "lost")
    assert said in finding.message
    assert len(found.rows) == 10
