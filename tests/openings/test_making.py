"""Whole openings: what is told of them, and what is refused."""

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.job import Job, step_digests
from buckwright.model.lines import LineNetwork
from buckwright.model.openings import GlassSpec, Openings, OpeningSpec
from buckwright.openings import LIMITS, OpeningMaker, make_openings
from openings_on_paper import (
    DOOR,
    SIDE,
    WINDOW,
    barrel_side,
    corner_line,
    door_spec,
    dotted,
    flat_side,
    make_paper,
    rectangle,
    side_glass,
)

NAN = float("nan")


@pytest.fixture(scope="module")
def paper():
    return make_paper()


@pytest.fixture(scope="module")
def maker(paper):
    return OpeningMaker(paper.skin, paper.network)


@pytest.fixture(scope="module")
def barrel():
    paper = make_paper(barrel_side)
    return OpeningMaker(paper.skin, paper.network)


def shut(**changes) -> OpeningSpec:
    """A door without hinges."""
    return door_spec(hinge_x=0.0, hinge_y=0.0, hinge=None, **changes)


def test_area_and_perimeter_are_those_on_paper_the_window_included(maker):
    made = maker.make(shut())
    (x0, z0), (x1, z1) = DOOR
    assert made.outline.area == pytest.approx((x1 - x0) * (z1 - z0))
    assert made.outline.perimeter == pytest.approx(2.0 * (x1 - x0 + z1 - z0))
    assert made.outline.off_most < 1e-9


def test_facts_come_back_from_json_as_they_were(paper):
    made = make_openings([shut(glass=side_glass())], paper.skin, paper.network)
    back = Openings.model_validate_json(made.model_dump_json())
    assert back.model_dump_json() == made.model_dump_json()


def test_jobs_without_openings_keep_the_digests_they_had(paper):
    job = Job(name="x")
    with_one = job.model_copy(update={"openings": (shut(),)})
    before, after = step_digests(job), step_digests(with_one)
    changed = {step for step in before if before[step] != after[step]}
    assert changed == {"openings", "drawings"}


@pytest.mark.parametrize("field", sorted(LIMITS))
@pytest.mark.parametrize("value", [NAN, -1.0, 1e6])
def test_sizes_out_of_reason_are_refused_by_name(maker, field, value):
    with pytest.raises(JobError, match=f"The {LIMITS[field][0]} of 'left door' cannot be"):
        maker.make(shut(**{field: value}))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"thickness": NAN}, "thickness of the glass"),
        ({"overlap": 100.0}, "overlap of the glass"),
        ({"set_in": -3.0}, "set-in of the glass"),
        ({"clearance": NAN}, "clearance of the glass"),
        ({"drop": -5.0}, "cannot drop by -5 mm"),
        ({"drop": NAN}, "cannot drop by nan mm"),
        ({"shape": "cylinder", "radius": 50.0}, "cannot be bent to 50 mm"),
    ],
)
def test_glass_that_cannot_be_is_refused(maker, changes, words):
    with pytest.raises(JobError, match=words):
        maker.make(shut(glass=side_glass(**changes)))


@pytest.mark.parametrize("swing", [NAN, 0.0, 4.0])
def test_a_swing_out_of_reason_is_refused(maker, swing):
    spec = door_spec(hinge_x=510.0, hinge_y=SIDE - 5.0)
    hinge = spec.hinge.model_copy(update={"swing": swing})
    with pytest.raises(JobError, match=r"cannot be .* degrees"):
        maker.make(spec.model_copy(update={"hinge": hinge}))


def test_glass_thicker_than_its_door_is_refused(maker):
    with pytest.raises(JobError, match="20 mm thick and the door only 15 mm"):
        maker.make(shut(thickness=15.0, glass=side_glass(thickness=20.0)))


def test_glass_that_drops_without_a_door_is_refused(maker):
    spec = OpeningSpec(name="pane", kind="window", outline=("window",), glass=side_glass())
    with pytest.raises(JobError, match="no door holds it"):
        maker.make(spec)


def test_an_outline_off_the_skin_is_refused_and_one_a_little_off_is_told(paper):
    door = dotted(rectangle(DOOR))
    lines = [
        corner_line(name, flat_side(door) + np.array([0.0, by, 0.0]))
        for name, by in (("far", 60.0), ("near", 3.0))
    ]
    there = OpeningMaker(paper.skin, LineNetwork(lines=tuple(lines), crossings=()))
    with pytest.raises(JobError, match="lies 60 mm off the skin"):
        there.make(shut(outline=("far",)))
    made = there.make(shut(outline=("near",)))
    assert made.outline.off_most == pytest.approx(3.0)
    assert "outline-off-skin" in [f.code for f in made.findings]


def test_an_outline_that_the_triangles_do_not_follow_is_refused(paper):
    askew = flat_side(dotted(rectangle(DOOR)) + 9.0)
    lines = LineNetwork(lines=(corner_line("askew", askew),), crossings=())
    with pytest.raises(JobError, match="do not follow the outline"):
        OpeningMaker(paper.skin, lines).make(shut(outline=("askew",)))


def test_a_region_nobody_knows_is_refused(maker):
    with pytest.raises(JobError, match="no region of the skin"):
        maker.make(shut(region="bonnet"))


def test_a_screen_needs_no_metal_and_gives_its_flat_piece(maker):
    glass = GlassSpec(overlap=-4.0)
    spec = OpeningSpec(name="screen", kind="screen", outline=("window",), glass=glass)
    pane = maker.make(spec).pane
    (x0, z0), (x1, z1) = WINDOW
    assert pane.area == pytest.approx((x1 - x0 - 8.0) * (z1 - z0 - 8.0), rel=1e-4)
    assert np.ptp(pane.outline, axis=0).max() == pytest.approx(x1 - x0 - 8.0)


def test_glass_that_runs_to_a_point_is_told_and_a_square_one_is_not(paper):
    def corners(height):
        flat = np.array([[600.0, 650.0], [900.0, 650.0], [750.0, 650.0 + height]])
        return corner_line("edge", flat_side(dotted(flat)))

    def codes(line):
        lines = LineNetwork(lines=(line,), crossings=())
        glass = GlassSpec(overlap=-3.0)
        spec = OpeningSpec(name="pane", kind="window", outline=(line.name,), glass=glass)
        there = OpeningMaker(make_paper(window=False).skin, lines)
        return {f.code: f.message for f in there.make(spec).findings}

    # Half the base over the height is the tangent of half the angle at the top; the sides are taken
    # from evenly spaced points, of which none need be the corner.
    words = codes(corners(400.0))["glass-sharp-corner"].split(" degrees")[0]
    angle = float(words.removeprefix("Its glass runs to a point of "))
    assert angle == pytest.approx(2.0 * np.degrees(np.arctan(150.0 / 400.0)), abs=4.0)
    square = corner_line("edge", flat_side(dotted(rectangle(WINDOW))))
    assert "glass-sharp-corner" not in codes(square)


def test_flat_glass_where_bent_would_lie_closer_is_told(barrel):
    wide = GlassSpec(outline=("door",))
    found = barrel.make(shut(glass=wide)).findings
    (one,) = [f for f in found if f.code == "glass-off-outline"]
    assert one.remedy == "Take glass that is bent in one direction."
    bent = barrel.make(shut(glass=wide.model_copy(update={"shape": "cylinder"})))
    assert "glass-off-outline" not in [f.code for f in bent.findings]


def test_glass_that_stops_says_at_what_and_what_would_do(barrel):
    glass = side_glass(set_in=0.0, clearance=3.0)
    made = barrel.make(shut(glass=glass))
    drop = made.pane.drop
    assert drop.stopped_by == "the outer metal"
    (doubt,) = [f for f in made.findings if f.code == "glass-stops"]
    assert f"drops {drop.reached:.0f} of {drop.wanted:.0f} mm" in doubt.message
    # Set in by what it asks for, it drops.
    farther = barrel.make(shut(glass=side_glass(set_in=np.ceil(drop.shift), clearance=3.0)))
    assert farther.pane.drop.stopped_by == ""
    assert farther.pane.drop.outer.min() >= 3.0 - 1e-6


def test_a_door_as_thin_as_told_still_takes_its_glass_and_a_thinner_one_does_not(barrel):
    glass = side_glass(set_in=0.0, clearance=3.0)
    drop = barrel.make(shut(glass=glass)).pane.drop
    deep = side_glass(set_in=drop.shift, clearance=3.0)
    fits = barrel.make(shut(glass=deep, thickness=drop.needed + 0.2)).pane.drop
    assert fits.stopped_by == ""
    assert min(fits.inner.min(), fits.outer.min()) == pytest.approx(3.0, abs=0.3)
    thin = barrel.make(shut(glass=deep, thickness=drop.needed - 4.0)).pane.drop
    assert thin.stopped_by == "the trim"


def test_swings_that_touch_are_told_with_what_and_where(maker):
    found = maker.make(door_spec(hinge_x=DOOR[0][0] + 12.5, hinge_y=SIDE + 25.0)).findings
    (touch,) = [f for f in found if f.code == "swing-touches"]
    assert touch.message.startswith(
        "After 12.05 degrees its front edge meets the jamb at its front"
    )
