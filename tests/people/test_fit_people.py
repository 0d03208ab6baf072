import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.people import FitQuestion, Person
from buckwright.model.skin import Skin, SkinRegion
from buckwright.people import fit_people
from buckwright.people.inner_width import cut_inner_section

ANN = Person(
    name="Ann",
    shoulder_breadth=440.0,
    elbow_breadth=480.0,
    sitting_height=860.0,
    shoulder_height=560.0,
    elbow_height=230.0,
)
BEN = Person(
    name="Ben",
    shoulder_breadth=510.0,
    elbow_breadth=580.0,
    sitting_height=920.0,
    shoulder_height=600.0,
    elbow_height=245.0,
)
QUESTION = FitQuestion(people=(ANN, BEN), seat_x=1100.0, seat_z=450.0)


def tunnel(profile: np.ndarray, *, name: str = "body", hole: tuple[int, int] | None = None) -> Skin:
    """A skin of constant section: `profile` (k, 2) of y and z from left to right over the top."""
    stations = np.linspace(500.0, 2000.0, 31)
    count = len(profile)
    vertices = np.array([[x, y, z] for x in stations for y, z in profile])
    triangles = []
    for i in range(len(stations) - 1):
        for j in range(count - 1):
            if hole is not None and hole[0] <= j < hole[1]:
                continue
            a, b = i * count + j, i * count + j + 1
            c, d = a + count, b + count
            triangles += [(a, c, d), (a, d, b)]
    region = SkinRegion(
        name=name,
        side="whole",
        vertices=vertices,
        triangles=triangles,
        chart=vertices[:, :2],
        boundary=(),
        inner=(),
        holes=(),
        line_error_most=0.0,
        line_error_rms=0.0,
    )
    return Skin(regions=(region,))


def walls(half: float, *, lean: float = 0.0, count: int = 60) -> np.ndarray:
    """Straight sides from z 300 to 1400 under an arched roof; `lean` mm inwards at the top."""
    z = np.linspace(300.0, 1400.0, count)
    left = np.column_stack([-half + lean * (z - 300.0) / 1100.0, z])
    turn = np.linspace(np.pi, 0.0, 41)[1:-1]
    top = half - lean
    roof = np.column_stack([top * np.cos(turn), 1400.0 + 250.0 * np.sin(turn)])
    return np.vstack([left, roof, left[::-1] * [-1.0, 1.0]])


def test_widths_between_upright_sides_are_exact() -> None:
    answer = fit_people(QUESTION, tunnel(walls(650.0)), width_sigma=1.5)
    shoulders, elbows = answer.heights
    inner = 2.0 * (650.0 - 1.2 - 50.0)
    assert shoulders.name == "shoulders"
    assert shoulders.given == pytest.approx(inner, abs=1e-6)
    assert shoulders.needed == 440.0 + 510.0 + 2 * 20.0 + 15.0
    assert elbows.needed == 480.0 + 580.0 + 2 * 20.0 + 15.0
    assert elbows.spare == pytest.approx(inner - 1115.0, abs=1e-6)
    assert shoulders.sigma == 1.5
    assert answer.fits
    assert answer.widen_by == 0.0


def test_door_and_sheet_count_along_the_normal_of_a_leaning_side() -> None:
    lean = 220.0
    answer = fit_people(QUESTION, tunnel(walls(700.0, lean=lean)), width_sigma=1.0)
    slant = np.hypot(1.0, lean / 1100.0)
    # The narrowest place is at the taller person's shoulders.
    z = 450.0 + 600.0
    half = 700.0 - lean * (z - 300.0) / 1100.0 - 51.2 * slant
    assert answer.heights[0].z == z
    assert answer.heights[0].given == pytest.approx(2.0 * half, abs=0.01)


def test_a_window_is_taken_as_closed_straight_across() -> None:
    profile = walls(650.0, lean=110.0)
    whole = cut_inner_section(tunnel(profile), station=1100.0, depth=51.2)
    # The left wall's points 30 to 45 have no metal: z from 860 to 1140.
    holed = cut_inner_section(tunnel(profile, hole=(30, 45)), station=1100.0, depth=51.2)
    assert holed.half_breadths(1000.0)[0] == pytest.approx(whole.half_breadths(1000.0)[0], abs=0.5)
    assert holed.half_breadths(1000.0)[1] == pytest.approx(whole.half_breadths(1000.0)[1])


def test_something_outside_the_body_does_not_count() -> None:
    body, wing = tunnel(walls(650.0)), tunnel(walls(900.0), name="wing")
    both = Skin(regions=(*wing.regions, *body.regions))
    one = fit_people(QUESTION, body, width_sigma=1.0)
    other = fit_people(QUESTION, both, width_sigma=1.0)
    assert other.heights[0].given == one.heights[0].given


def test_people_that_do_not_fit_are_told_by_how_much_to_widen() -> None:
    answer = fit_people(QUESTION, tunnel(walls(580.0)), width_sigma=1.5)
    assert not answer.fits
    lacking = 1115.0 - 2.0 * (580.0 - 51.2)
    assert answer.widen_by == pytest.approx(lacking, abs=1e-6)
    assert "do-not-fit" in {finding.code for finding in answer.findings}
    wider = fit_people(QUESTION, tunnel(walls(580.0 + lacking / 2 + 0.01)), width_sigma=1.5)
    assert wider.fits


def test_a_close_verdict_is_in_doubt() -> None:
    half = 0.5 * 1115.0 + 51.2 + 0.5
    answer = fit_people(QUESTION, tunnel(walls(half)), width_sigma=1.5)
    assert answer.fits
    assert "close-fit" in {finding.code for finding in answer.findings}


def test_allowances_and_survey_are_always_named_as_doubts() -> None:
    answer = fit_people(QUESTION, tunnel(walls(650.0)), width_sigma=1.5)
    codes = [finding.code for finding in answer.findings]
    assert codes == ["allowances-unsourced", "survey-people"]
    assert "half and half" in answer.findings[1].message


def test_more_room_lets_more_random_pairs_in() -> None:
    shares = [
        fit_people(QUESTION, tunnel(walls(half)), width_sigma=1.0).random_pair
        for half in (400.0, 550.0, 580.0, 620.0, 800.0)
    ]
    assert shares == sorted(shares)
    assert shares[0] == 0.0
    assert shares[-1] == 1.0


def test_one_person_needs_no_gap_between() -> None:
    alone = QUESTION.model_copy(update={"people": (BEN,)})
    answer = fit_people(alone, tunnel(walls(650.0)), width_sigma=1.0)
    assert answer.heights[0].needed == 530.0


@pytest.mark.parametrize(
    ("update", "sentence"),
    [
        ({"seat_x": 5000.0}, "no body at station 5000"),
        ({"seat_z": 1200.0}, "not between two sides"),
        ({"people": ()}, "Nobody"),
        ({"clothing": -5.0}, "not negative"),
        ({"seat_z": float("nan")}, "must be numbers"),
    ],
    ids=["behind", "above the roof", "nobody", "negative", "nan"],
)
def test_a_question_without_an_answer_is_refused(update: dict[str, object], sentence: str) -> None:
    with pytest.raises(JobError, match=sentence):
        fit_people(QUESTION.model_copy(update=update), tunnel(walls(650.0)), width_sigma=1.0)


@pytest.mark.parametrize("size", [17.5, 5100.0, float("nan"), -480.0])
def test_a_size_that_no_body_has_is_refused(size: float) -> None:
    slip = QUESTION.model_copy(update={"people": (ANN.model_copy(update={"elbow_breadth": size}),)})
    with pytest.raises(JobError, match="breadth over the elbows of Ann cannot be"):
        fit_people(slip, tunnel(walls(650.0)), width_sigma=1.0)
