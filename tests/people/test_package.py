"""The whole layout in a tunnel whose walls and roof are known, with lines drawn on it."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.spline import spline_curve
from buckwright.lines.departing import moved_along, place_on_reference
from buckwright.model.lines import Departure, Line, LineNetwork
from buckwright.model.package import Box, PackageSpec
from buckwright.model.people import FitAnswer, FitQuestion
from buckwright.model.skin import Skin
from buckwright.people import Around, check_spec, complete_fit, fit_people
from people.test_fit_people import QUESTION, tunnel

HALF = 650.0


def flat_roof(half: float = HALF, *, top: float = 1500.0, lean: float = 0.0) -> np.ndarray:
    """Sides that lean inwards by `lean` mm from z 300 to `top`, and a flat roof; left to right."""
    z = np.linspace(300.0, top, 25)
    left = np.column_stack([-half + lean * (z - 300.0) / (top - 300.0), z])
    y = np.linspace(-half + lean, half - lean, 15)[1:-1]
    return np.vstack([left, np.column_stack([y, np.full_like(y, top)]), left[::-1] * [-1.0, 1.0]])


def van(scuttle: float = 940.0) -> Skin:
    """A cab from x 800 on behind a scuttle that high from x 500."""
    regions = []
    for profile, start, share in ((flat_roof(), 800.0, 0.8), (flat_roof(top=scuttle), 500.0, 0.2)):
        region = tunnel(profile).regions[0]
        along = start + share * (region.vertices[:, [0]] - 500.0)
        moved = np.hstack([along, region.vertices[:, 1:]])
        regions.append(region.model_copy(update={"vertices": moved}))
    return Skin(regions=tuple(regions))


def test_a_scuttle_as_high_as_the_eyes_hides_the_ground() -> None:
    answer = solve(asked(), van(1390.0))
    assert answer.package is not None
    down = next(s for s in answer.package.sights if s.name == "over the scuttle")
    assert down.angle > 0.0
    assert "no-ground-seen" in {f.code for f in answer.findings}


def straight(name: str, *points: tuple[float, float, float], closed: bool = False) -> Line:
    control = np.array([*points, points[0]] if closed else points, dtype=np.float64)
    spans = np.linspace(0.0, 1.0, len(control))
    knots = np.concatenate([[0.0], spans, [1.0]])
    return Line(name=name, degree=1, knots=knots, control=control, closed=False, sigma=0.5)


def rim(name: str, x: float, y: float) -> Line:
    turn = np.linspace(0.0, 2.0 * np.pi, 65)[:-1]
    ring = np.column_stack(
        [x + 200.0 * np.cos(turn), np.full_like(turn, y), 330.0 + 200.0 * np.sin(turn)]
    )
    count = len(ring)
    knots = np.arange(-3, count + 4) / count
    control = np.vstack([ring, ring[:3]])
    curve = spline_curve(knots, control, 3, closed=True)
    return Line(
        name=name, degree=3, knots=knots, control=np.asarray(curve.c), closed=True, sigma=0.5
    )


def network(lean: float = 0.0) -> LineNetwork:
    top = HALF - lean

    def side(z: float) -> float:
        return -(HALF - lean * (z - 300.0) / 1200.0)

    corners = [(800.0, side(900.0), 900.0), (1000.0, side(1400.0), 1400.0)]
    mirrored = [(x, -y, z) for x, y, z in corners[::-1]]
    glass = [(x, side(z), z) for x, z in ((1000, 950), (1400, 950), (1400, 1250), (1000, 1250))]
    return LineNetwork(
        lines=(
            straight("screen edge", *corners, *mirrored),
            straight("screen base", corners[0], mirrored[-1]),
            straight("window left", *glass, closed=True),
            straight("belt left", (500.0, side(900.0), 900.0), (2000.0, side(900.0), 900.0)),
            straight("cantrail left", (500.0, -top, 1500.0), (2000.0, -top, 1500.0)),
            rim("front rim left", 0.0, -720.0),
            rim("rear rim left", 2300.0, -720.0),
        ),
        crossings=(),
    )


def around(skin: Skin, lean: float = 0.0) -> Around:
    return Around(network(lean), skin, ("front rim left",), ("rear rim left",))


def asked(spec: PackageSpec | None = None, **changes: object) -> FitQuestion:
    return QUESTION.model_copy(update={"package": spec or PackageSpec(), **changes})


def solve(question: FitQuestion, skin: Skin, lean: float = 0.0) -> FitAnswer:
    answer = fit_people(question, skin, width_sigma=1.0)
    return complete_fit(answer, question, around(skin, lean))


def test_without_a_package_the_answer_stays_as_it_is() -> None:
    skin = tunnel(flat_roof())
    answer = fit_people(QUESTION, skin, width_sigma=1.0)
    assert complete_fit(answer, QUESTION, around(skin)) is answer


def test_head_room_under_a_flat_roof_is_the_difference_of_heights() -> None:
    package = solve(asked(), tunnel(flat_roof())).package
    assert package is not None
    heads = {c.name: c for c in package.clearances if c.name.endswith("head")}
    lining = 1500.0 - 1.2 - 15.0
    assert heads["Ben's head"].value == pytest.approx(lining - (450.0 + 920.0), abs=1e-6)
    assert heads["Ann's head"].value == pytest.approx(lining - (450.0 + 860.0), abs=1e-6)
    assert heads["Ann's head"].at[2] == pytest.approx(1310.0, abs=1e-6)


def test_a_head_through_the_roof_is_said_and_the_roof_proposed_higher() -> None:
    answer = solve(asked(), tunnel(flat_roof(top=1340.0)))
    assert answer.package is not None
    head = next(c for c in answer.package.clearances if c.name == "Ben's head")
    assert head.value == pytest.approx(1340.0 - 16.2 - 1370.0, abs=1e-6)
    assert any(f.code == "too-near" and f.where == "Ben's head" for f in answer.findings)
    higher = next(s for s in answer.package.stretches if s.axis == "z")
    assert higher.by == np.ceil(40.0 - head.value + 1.0)
    assert higher.end <= 1310.0


def test_an_accepted_stretch_makes_the_body_wide_enough() -> None:
    profile = flat_roof(560.0)
    skin = tunnel(profile)
    answer = solve(asked(), skin)
    assert not answer.fits
    assert answer.package is not None
    (wider,) = (s for s in answer.package.stretches if s.axis == "y")
    zone = Departure.model_validate(wider.model_dump(exclude={"seat_by"}))
    stretched = np.column_stack([moved_along(profile[:, 0], (zone,)), profile[:, 1]])
    after = solve(asked(), tunnel(stretched))
    assert after.fits
    assert min(fit.spare for fit in after.heights) < 2.0
    assert after.package is not None
    assert not [s for s in after.package.stretches if s.axis == "y"]


def test_a_zone_for_the_legs_moves_the_seat_and_frees_the_feet() -> None:
    legs = {"buttock_knee": 580.0, "popliteal_height": 410.0, "foot_length": 260.0}
    people = tuple(p.model_copy(update=legs) for p in QUESTION.people)
    question = asked(PackageSpec(floor=300.0), seat_x=1350.0, people=people)
    answer = solve(question, tunnel(flat_roof()))
    assert answer.package is not None
    feet = [c for c in answer.package.clearances if c.name.endswith("feet")]
    lacking = max(c.wanted - c.value for c in feet)
    assert lacking > 0.0
    (longer,) = (s for s in answer.package.stretches if s.axis == "x")
    moved = question.model_copy(update={"seat_x": question.seat_x + longer.seat_by})
    after = solve(moved, tunnel(flat_roof()))
    assert after.package is not None
    assert all(c.value >= c.wanted for c in after.package.clearances if c.name.endswith("feet"))
    assert longer.by < lacking + 3.0


def test_zones_are_stated_on_the_reference() -> None:
    earlier = Departure(name="a", reason="b", axis="z", start=350.0, end=420.0, by=80.0)
    assert place_on_reference("z", 500.0, (earlier,)) == pytest.approx(420.0, abs=1e-6)
    assert place_on_reference("x", 500.0, (earlier,)) == pytest.approx(500.0, abs=1e-6)
    inside = moved_along(np.array([390.0]), (earlier,))[0]
    assert place_on_reference("z", inside, (earlier,)) == pytest.approx(390.0, abs=1e-6)


def test_people_for_whom_no_gentle_zone_exists_are_told_in_a_sentence() -> None:
    answer = solve(asked(), tunnel(flat_roof(330.0)))
    said = [f.message for f in answer.findings if f.code == "cannot-fit"]
    assert len(said) == 1
    assert said[0].startswith("They cannot fit: ")


def test_sight_over_the_scuttle_and_under_the_header_follows_the_lines() -> None:
    package = solve(asked(), van()).package
    assert package is not None
    sights = {(s.person, s.name): s for s in package.sights}
    down, up = sights["Ben", "over the scuttle"], sights["Ben", "under the header"]
    eye = down.start
    # The scuttle is level and 940 mm high: its front edge at x 500 is what hides the ground.
    assert down.angle == pytest.approx(np.arctan2(940.0 - eye[2], eye[0] - 500.0))
    assert down.end[0] == pytest.approx(eye[0] - eye[2] * (eye[0] - 500.0) / (eye[2] - 940.0))
    ahead = (500.0 - down.end[0]) / 1000.0
    assert f"sees the ground from {ahead:.1f} m ahead of the body on" in down.words
    assert up.angle == pytest.approx(np.arctan2(1400.0 - up.start[2], up.start[0] - 1000.0))
    assert up.start[2] - down.start[2] == pytest.approx(40.0)


def test_posts_reach_from_the_screen_to_the_side_window() -> None:
    package = solve(asked(), tunnel(flat_roof())).package
    assert package is not None
    assert [(p.person, p.post) for p in package.posts] == [
        ("Ann", "left"), ("Ann", "right"), ("Ben", "left"), ("Ben", "right"),
    ]  # fmt: skip
    for post in package.posts:
        screen = 800.0 + 200.0 * (post.z - 900.0) / 500.0
        np.testing.assert_allclose(post.outline[0], [screen - 10.0, post.outline[0, 1]], atol=1e-6)
        np.testing.assert_allclose(post.outline[1, 0], 1010.0, atol=1e-6)
        assert 0.0 < post.both <= min(post.hidden)
    ann_left, _, _, ben_right = package.posts
    assert abs(ann_left.outline[0, 1]) == pytest.approx(650.0)
    assert ben_right.outline[0, 1] == pytest.approx(650.0)


def test_glass_in_an_upright_side_needs_itself_and_two_clearances() -> None:
    package = solve(asked(), tunnel(flat_roof())).package
    assert package is not None
    door = package.door
    assert door is not None
    assert door.tumblehome == pytest.approx(0.0, abs=1e-9)
    assert door.drop == pytest.approx(300.0)
    assert door.needed == pytest.approx(12.0 + 5.0 + 12.0, abs=1e-6)
    assert door.clear_outside == pytest.approx(-1.2, abs=1e-6)


def test_glass_in_a_flat_leaning_side_slides_along_it() -> None:
    lean = 240.0
    package = solve(asked(), tunnel(flat_roof(700.0, lean=lean)), lean).package
    assert package is not None
    assert package.door is not None
    assert package.door.tumblehome == pytest.approx(np.arctan(lean / 1200.0), abs=1e-6)


def test_the_layout_names_its_rooms_and_draws_all_things() -> None:
    spec = PackageSpec(engine=Box(low=(-200.0, -200.0, 300.0), high=(300.0, 200.0, 800.0)))
    package = solve(asked(spec), tunnel(flat_roof())).package
    assert package is not None
    rooms = {room.code: room.value for room in package.rooms}
    inner = 2.0 * (HALF - 51.2)
    assert rooms["W3"] == pytest.approx(inner)
    assert rooms["W5"] == pytest.approx(inner)
    hip = 450.0 + 97.0
    tall = (1500.0 - 16.2 - hip) / np.cos(np.deg2rad(8.0)) + 102.0
    assert rooms["H61"] == pytest.approx(tall, abs=1e-6)
    assert rooms["H30"] == pytest.approx(hip - 300.0)
    kinds = {shape.kind for shape in package.shapes}
    assert kinds == {"person", "seat", "steering", "pedals", "wheel", "swept", "engine"}
    for shape in package.shapes:
        a, b, c = (shape.vertices[shape.triangles[:, k]] for k in range(3))
        assert np.einsum("ij,ij->i", a, np.cross(b, c)).sum() > 0.0, shape.name
    assert len({wheel.name for wheel in package.wheels}) == 4
    assert {w.lock for w in package.wheels if w.name.startswith("rear")} == {0.0}


def test_the_driver_may_sit_on_the_right() -> None:
    skin = tunnel(flat_roof())
    left, right = (solve(asked(PackageSpec(driver=s)), skin).package for s in ("left", "right"))
    assert left is not None
    assert right is not None
    across = [next(r.value for r in p.rooms if r.code == "W7") for p in (left, right)]
    assert across[0] < 0.0 < across[1]


def test_missing_lines_leave_out_what_hangs_on_them_and_are_named() -> None:
    skin = tunnel(flat_roof())
    question = asked()
    answer = fit_people(question, skin, width_sigma=1.0)
    bare = Around(LineNetwork(lines=(), crossings=()), skin)
    whole = complete_fit(answer, question, bare)
    assert whole.package is not None
    assert whole.package.sights == ()
    assert whole.package.posts == ()
    assert whole.package.door is None
    assert "lines-missing" in {f.code for f in whole.findings}


@pytest.mark.parametrize(
    ("update", "sentence"),
    [
        ({"lock": 2.0}, "steering lock cannot be 115 degrees"),
        ({"tyre_width": float("nan")}, "width of the tyre"),
        ({"bump": -5.0}, "bump travel cannot be -5 mm"),
        ({"engine": Box(low=(0.0, 0.0, 0.0), high=(0.0, 1.0, 1.0))}, "no size"),
    ],
    ids=["lock", "nan", "negative", "flat engine"],
)
def test_a_package_that_cannot_be_is_refused(update: dict[str, object], sentence: str) -> None:
    with pytest.raises(JobError, match=sentence):
        check_spec(PackageSpec().model_copy(update=update))
