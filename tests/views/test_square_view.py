import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.homography import apply_homography
from buckwright.model.views import Known, Length, Pick, SharedMark, ViewPicture, ViewSpec, ViewTrace
from buckwright.views import square_view, view_curve, view_curves
from views_on_paper import Camera, far_view, in_space, source


def seen(view: ViewSpec, px, k: int = 0) -> np.ndarray:
    return apply_homography(square_view(view).to_plane[k].reshape(3, 3), np.atleast_2d(px))


def test_two_wheels_put_a_far_picture_to_scale_and_into_axes() -> None:
    view = far_view("side", 1.25, distance=20_000.0)
    squared = square_view(view)
    assert squared.mm_per_px == pytest.approx(1.25)
    assert squared.residual == pytest.approx(0.0, abs=1e-9)
    assert seen(view, [[500.0, 2000.0], [500.0, 1000.0]]) == pytest.approx(
        np.array([[0.0, 310.0], [0.0, 1560.0]]), abs=1e-6
    )
    assert squared.foot == pytest.approx(((1999.5 - 500) * 1.25, 310 + (2000 - 1499.5) * 1.25))


def test_a_picture_that_hangs_is_levelled_by_its_wheels() -> None:
    wheels = (((500.0, 2000.0), 0.0), ((2500.0, 2040.0), 2240.0))
    known = tuple(Known(pick=Pick(picture="a.jpg", px=px), right=x, up=300.0) for px, x in wheels)
    picture = ViewPicture(source=source("a.jpg"))
    view = ViewSpec(name="side", seen_from="left", pictures=(picture,), known=known)
    assert square_view(view).residual < 1e-9
    assert seen(view, [wheels[0][0], wheels[1][0]]) == pytest.approx(
        np.array([[0.0, 300.0], [2240.0, 300.0]]), abs=1e-6
    )


def test_seen_from_the_right_the_vehicle_runs_the_other_way() -> None:
    known = tuple(
        Known(pick=Pick(picture="a.jpg", px=px), right=x, up=300.0)
        for px, x in (((500.0, 2000.0), 2240.0), ((2500.0, 2000.0), 0.0))
    )
    picture = ViewPicture(source=source("a.jpg"))
    view = ViewSpec(name="side", seen_from="right", pictures=(picture,), known=known)
    assert seen(view, (500.0, 2000.0)) == pytest.approx(np.array([[-2240.0, 300.0]]))
    wrong = view.model_copy(update={"seen_from": "left"})
    with pytest.raises(JobError, match="contradict the side that it is seen from"):
        square_view(wrong)


def test_a_length_alone_gives_scale_and_is_told_to_be_nowhere() -> None:
    length = Length(
        first=Pick(picture="a.jpg", px=(100.0, 2000.0)),
        second=Pick(picture="a.jpg", px=(2100.0, 2000.0)),
        mm=3000.0,
    )
    picture = ViewPicture(source=source("a.jpg"))
    view = ViewSpec(name="side", seen_from="left", pictures=(picture,), length=length)
    squared = square_view(view)
    assert squared.mm_per_px == pytest.approx(1.5)
    assert {f.code for f in squared.findings} == {"view-not-placed", "distance-unknown"}


def test_a_length_beside_a_known_place_and_a_level_turns_the_view() -> None:
    length = Length(
        first=Pick(picture="a.jpg", px=(100.0, 2000.0)),
        second=Pick(picture="a.jpg", px=(2100.0, 2000.0)),
        mm=3000.0,
    )
    known = (
        Known(pick=Pick(picture="a.jpg", px=(100.0, 2000.0)), right=0.0, up=0.0),
        Known(pick=Pick(picture="a.jpg", px=(2100.0, 2100.0)), up=0.0),
    )
    view = ViewSpec(
        name="side",
        seen_from="left",
        pictures=(ViewPicture(source=source("a.jpg")),),
        length=length,
        known=known,
    )
    squared = square_view(view)
    assert squared.mm_per_px == pytest.approx(1.5)
    assert seen(view, (2100.0, 2100.0))[0, 1] == pytest.approx(0.0, abs=1e-6)


def test_a_rectangle_of_unknown_proportions_is_squared_by_its_vanishing_points() -> None:
    camera = Camera("left", 5000.0, askew=(0.15, -0.25, 0.03))
    at = np.array([[0.0, 200.0], [2400.0, 200.0], [2400.0, 1550.0], [0.0, 1550.0]])
    px = camera.px(in_space("left", at, 0.0))
    picture = ViewPicture(source=source("a.jpg"), corners=px)
    pick = [Pick(picture="a.jpg", px=tuple(p)) for p in px]
    view = ViewSpec(
        name="door",
        seen_from="left",
        pictures=(picture,),
        length=Length(first=pick[0], second=pick[1], mm=2400.0),
        known=(Known(pick=pick[0], right=0.0, up=200.0),),
    )
    squared = square_view(view)
    assert seen(view, px) == pytest.approx(at, abs=0.01)
    assert squared.distance == pytest.approx(5000.0, rel=1e-6)
    assert 0.0 < squared.distance_sigma < 200.0
    straight = Camera("left", 5000.0, askew=(0.0, 0.001, 0.0))
    flat = picture.model_copy(update={"corners": straight.px(in_space("left", at, 0.0))})
    with pytest.raises(JobError, match="does not tell the proportions"):
        square_view(view.model_copy(update={"pictures": (flat,)}))


def sheet_pieces(noise: float = 0.0) -> ViewSpec:
    """A drawing 3 m long, photographed in three pieces, each squared by a grid of 100 mm."""
    rng = np.random.default_rng(3)
    marks = {"m1": (1050.0, 100.0), "m2": (1080.0, 900.0), "m3": (2020.0, 80.0), "m4": (2050, 950)}
    pictures = []
    for k, turn in enumerate((0.0, 0.02, -0.03)):
        size = 1.0 / (0.5 + 0.03 * k)
        x0 = 1000.0 * k - 100.0
        c, s = size * np.cos(turn), size * np.sin(turn)
        to_px = np.array([[c, s, -c * x0 + 300], [s, -c, 2500.0], [1e-5, 2e-5 * k, 1.0]])
        grid = np.stack(np.meshgrid(np.arange(13.0), np.arange(11.0)), axis=2).reshape(-1, 2)
        px = apply_homography(to_px, grid * 100.0 + [x0, 0.0])
        px = px + rng.normal(0.0, noise, px.shape)
        own = {n: at for n, at in marks.items() if x0 <= at[0] <= x0 + 1200.0}
        pictures.append(
            ViewPicture(
                source=source(f"p{k}.jpg"),
                corners=px,
                corners_at=grid * 100.0,
                marks=tuple(
                    SharedMark(name=n, px=tuple(apply_homography(to_px, np.array([at]))[0]))
                    for n, at in own.items()
                ),
            )
        )
    last = pictures[2].corners
    return ViewSpec(
        name="sheet",
        seen_from="left",
        pictures=tuple(pictures),
        drawing=True,
        length=Length(
            first=Pick(picture="p0.jpg", px=tuple(pictures[0].corners[0])),
            second=Pick(picture="p2.jpg", px=tuple(last[12])),
            mm=32_000.0,
        ),
        known=(
            Known(pick=Pick(picture="p0.jpg", px=tuple(pictures[0].corners[0])), right=-500, up=0),
        ),
    )


def test_pieces_of_a_drawing_are_squared_by_its_grid_and_joined_by_shared_marks() -> None:
    view = sheet_pieces()
    squared = square_view(view)
    assert squared.residual < 1e-6
    assert squared.distance == 0.0
    assert squared.findings == ()
    # 3200 mm of paper stand for 32 m: one to ten.
    place = seen(view, view.pictures[2].corners[12], 2)
    assert place == pytest.approx(np.array([[31_500.0, 0.0]]), abs=0.01)
    noisy = square_view(sheet_pieces(noise=0.5))
    assert 0.5 < noisy.residual < 4.0
    assert noisy.worst.startswith(("corner", "the shared mark"))


def test_lines_of_a_drawing_have_no_parallax() -> None:
    view = sheet_pieces()
    px = view.pictures[1].corners[[14, 15, 16]]
    trace = ViewTrace(line="belt", picture="p1.jpg", px=px, between=(-600.0, 0.0))
    curve = view_curve(view, square_view(view), trace)
    assert curve.band.max() == 0.0
    assert curve.parallax.max() == 0.0
    assert curve.points[:, 1] == pytest.approx(1000.0, abs=0.01)


def refused(view: ViewSpec, match: str) -> None:
    with pytest.raises(JobError, match=match) as error:
        square_view(view)
    assert error.value.problem.endswith(".")
    assert error.value.remedy.endswith(".")


def with_corners(*px) -> ViewSpec:
    at = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]])
    picture = ViewPicture(source=source("a.jpg"), corners=np.array(px), corners_at=at)
    return ViewSpec(name="side", seen_from="left", pictures=(picture,))


def test_corners_that_are_no_quadrilateral_are_refused() -> None:
    a, b, c, d = (100.0, 900.0), (900.0, 880.0), (880.0, 200.0), (120.0, 180.0)
    assert square_view(with_corners(a, b, c, d)).residual == 0.0
    refused(with_corners(a, c, b, d), "do not make a quadrilateral")
    refused(with_corners(a, b, (500.0, 890.0), d), "do not make a quadrilateral")
    refused(with_corners(a, b, (600.0, 700.0), d), "do not make a quadrilateral")
    refused(with_corners(a, (101.0, 901.0), c, d), "Corners 1 and 2 of a.jpg lie in one place")
    refused(with_corners(d, c, b, a), "wrong way")
    few = with_corners(a, b, c, d).pictures[0].model_copy(update={"corners": np.array([a, b, c])})
    refused(with_corners(a, b, c, d).model_copy(update={"pictures": (few,)}), "only 3 corners")
    odd = few.model_copy(update={"corners": np.array([a, b, c, d, (1.0, 1.0)])})
    refused(with_corners(a, b, c, d).model_copy(update={"pictures": (odd,)}), "one place for each")


def test_a_scale_of_nothing_is_refused() -> None:
    view = far_view("side", 1.0)
    bare = view.model_copy(update={"known": ()})
    refused(bare, "Nothing puts the view 'side' to scale")
    refused(view.model_copy(update={"known": view.known[:1]}), "Nothing puts the view 'side'")
    pick = Pick(picture="side.jpg", px=(3.0, 4.0))
    same = Length(first=pick, second=pick, mm=100.0)
    refused(bare.model_copy(update={"length": same}), "in one place")
    other = Pick(picture="side.jpg", px=(300.0, 4.0))
    none = Length(first=pick, second=other, mm=0.0)
    refused(bare.model_copy(update={"length": none}), "is nothing")
    lost = Length(first=pick, second=Pick(picture="gone.jpg", px=(1.0, 1.0)), mm=10.0)
    refused(bare.model_copy(update={"length": lost}), "no picture gone.jpg")


def test_pictures_that_do_not_make_a_view_are_refused() -> None:
    view = sheet_pieces()
    refused(view.model_copy(update={"pictures": ()}), "has no picture")
    refused(view.model_copy(update={"drawing": False}), "but is no drawing")
    twice = (view.pictures[0], view.pictures[0])
    refused(view.model_copy(update={"pictures": twice}), "one picture twice")
    loose = view.pictures[2].model_copy(update={"marks": ()})
    refused(
        view.model_copy(update={"pictures": (*view.pictures[:2], loose)}),
        "p2.jpg shares fewer than two marks",
    )


def test_contradicting_places_are_told() -> None:
    view = far_view("side", 1.25, distance=20_000.0)
    third = Known(pick=Pick(picture="side.jpg", px=(500.0, 1000.0)), right=0.0, up=2500.0)
    squared = square_view(view.model_copy(update={"known": (*view.known, third)}))
    assert [f.code for f in squared.findings] == ["view-disagrees"]
    assert "most known place" in squared.findings[0].message


def test_a_trace_that_cannot_be_is_refused() -> None:
    view = far_view("side", 1.25, distance=3000.0)
    dot = ViewTrace(line="belt", picture="side.jpg", px=np.array([[5.0, 5.0], [5.0, 5.0]]))
    with pytest.raises(JobError, match="'belt' in the view 'side' has no length"):
        view_curves(view.model_copy(update={"traces": (dot,)}), square_view(view))
    px = np.array([[5.0, 5.0], [900.0, 5.0]])
    behind = ViewTrace(line="belt", picture="side.jpg", px=px, between=(-4000.0, 0.0))
    with pytest.raises(JobError, match="behind the camera of the view 'side'"):
        view_curve(view, square_view(view), behind)
    strange = behind.model_copy(update={"picture": "other.jpg"})
    with pytest.raises(JobError, match=r"no picture other\.jpg"):
        view_curve(view, square_view(view), strange)


def test_what_is_not_said_of_a_trace_is_told() -> None:
    view = far_view("side", 1.25, distance=3000.0)
    px = np.array([[1000.0, 800.0], [1900.0, 700.0], [2900.0, 800.0]])
    outline = ViewTrace(line="roof", picture="side.jpg", px=px, outline=True)
    codes = {f.code for f in view_curve(view, square_view(view), outline).findings}
    assert codes == {"sight-unsaid", "crown-unsaid"}
    wide = outline.model_copy(update={"outline": False, "between": (0.0, 800.0)})
    codes = {f.code for f in view_curve(view, square_view(view), wide).findings}
    assert codes == {"band-wide"}
