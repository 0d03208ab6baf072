import numpy as np
import pytest
import shapely

from buckwright.drawings import SCOPE, elevation_sheets, every_caution, packet_sheets
from buckwright.drawings.bends import bend_sheet
from buckwright.drawings.board import short_name
from buckwright.model.buck import Tack
from buckwright.model.job import Products
from buckwright.model.lines import LineSpec
from drawings import small_job


@pytest.fixture(scope="module")
def sheets():
    return {sheet.name: sheet for sheet in packet_sheets(small_job.job(), small_job.products())}


def strokes_of(sheet, ink):
    return [stroke for stroke in sheet.strokes if stroke.ink == ink]


def words_of(sheet):
    return " | ".join(label.text for label in sheet.labels)


def test_every_kind_of_sheet_is_there_with_its_own_ascii_name(sheets):
    kinds = [sheet.kind for sheet in sheets.values()]
    counts = {kind: kinds.count(kind) for kind in set(kinds)}
    assert counts == {"elevation": 4, "frame": 5, "wire": 6, "blank": 1, "gauge": 4, "check": 1}
    assert all(name.isascii() and " " not in name and len(name) <= 40 for name in sheets)


def test_nothing_computed_gives_no_sheets():
    assert packet_sheets(small_job.job(), Products()) == ()


def test_only_what_scissors_or_a_machine_follow_is_a_cut_file(sheets):
    assert {s.kind for s in sheets.values() if s.cut_file} == {"blank", "gauge"}


def test_every_sheet_carries_its_scope_and_its_cautions(sheets):
    for sheet in sheets.values():
        assert sheet.notes[-1] == SCOPE
    assert any("Z49.1" in note for note in sheets["wire-helix"].notes)
    assert any("ISEA 105" in note for note in sheets["blank-wing-crown"].notes)
    assert {note for note in every_caution() if "1910.1000" in note}


def test_every_title_names_job_and_revision(sheets):
    assert all(sheet.title.startswith("Wren, revision B: ") for sheet in sheets.values())


def test_every_line_is_named_in_the_plan_and_lies_at_its_true_place(sheets):
    plan = sheets["plan"]
    for line in small_job.reference().network.lines:
        assert line.name in {label.text for label in plan.labels}
        (drawn,) = [stroke for stroke in plan.strokes if stroke.name == line.name]
        curve = shapely.LineString(line.points(4001)[:, :2])
        assert shapely.distance(shapely.points(drawn.points), curve).max() < 0.02


def test_the_elevations_look_from_where_they_say(sheets):
    def across(view, name):
        (stroke,) = [s for s in sheets[view].strokes if s.name == name]
        return stroke.points[:, 0].mean()

    assert across("rear-elevation", "belt left") == pytest.approx(
        -across("front-elevation", "belt left")
    )
    assert across("rear-elevation", "belt left") < 0.0
    assert not [s for s in sheets["side-elevation"].strokes if s.name == "belt right"]
    assert not [s for s in sheets["front-elevation"].strokes if s.name == "rear edge"]


def test_stations_stand_every_hundred_millimetres_with_their_figures(sheets):
    side = sheets["side-elevation"]
    uprights = sorted(s.points[0, 0] for s in side.strokes if s.name.startswith("x "))
    np.testing.assert_allclose(np.diff(uprights), 100.0)
    figures = {label.text: label for label in side.labels}
    for x in (0, 500, 2300):
        label = figures[f"x {x}"]
        assert abs(0.5 * np.sum(label.corners()[[0, 2], 0]) - x) < 1e-6


def test_the_wheelbase_is_dimensioned_in_both_systems(sheets):
    assert "wheelbase 2300 mm (7' 6 9/16\")" in words_of(sheets["side-elevation"])
    assert "longer load floor: +60 mm" in words_of(sheets["side-elevation"])
    rims = [s for s in sheets["side-elevation"].strokes if "rim" in s.name]
    centres = [stroke.points.mean(axis=0) for stroke in rims]
    np.testing.assert_allclose(centres, [[0.0, 330.0], [2300.0, 330.0]], atol=1e-6)


def test_no_words_lie_on_other_words(sheets):
    for sheet in sheets.values():
        rooms = [shapely.Polygon(label.corners()) for label in sheet.labels]
        first, second = shapely.STRtree(rooms).query(rooms, predicate="overlaps")
        clashes = {
            (sheet.labels[i].text, sheet.labels[j].text) for i, j in zip(first, second, strict=True)
        }
        assert not clashes, sheet.name


def test_a_flat_wire_is_drawn_at_its_true_length(sheets):
    for wire in small_job.buck().wires:
        sheet = sheets[short_name(f"wire-{wire.name}")]
        if "use both outlines" in words_of(sheet):
            continue
        (axis,) = strokes_of(sheet, "centre")
        ring = np.vstack([axis.points, axis.points[:1]]) if axis.closed else axis.points
        drawn = np.linalg.norm(np.diff(ring, axis=0), axis=1).sum()
        assert wire.length - 0.2 < drawn <= wire.length + 1e-6


def test_the_rods_outline_is_as_wide_as_the_rod(sheets):
    sheet = sheets["wire-middle-section"]
    (axis,) = strokes_of(sheet, "centre")
    (outline,) = strokes_of(sheet, "outline")
    gaps = shapely.distance(shapely.points(outline.points), shapely.LineString(axis.points))
    assert gaps.max() == pytest.approx(3.175, abs=0.01)
    assert np.quantile(gaps, 0.05) == pytest.approx(3.175, abs=0.01)


def test_tacks_and_posts_are_marked_at_their_distance_along_the_rod(sheets):
    text = words_of(sheets["wire-middle-section"])
    for tack in small_job.buck().tacks:
        if "middle section" in tack.wires:
            own = tack.wires.index("middle section")
            assert f"{tack.at[own]:.1f} {tack.wires[1 - own]}" in text
    assert text.count(" post ") == len(small_job.buck().posts)
    (axis,) = strokes_of(sheets["wire-middle-section"], "centre")
    line = shapely.LineString(axis.points)
    ticks = [
        line.project(shapely.Point(stroke.points.mean(axis=0)))
        for stroke in strokes_of(sheets["wire-middle-section"], "mark")
        if shapely.Point(stroke.points.mean(axis=0)).distance(line) < 0.01
    ]
    assert any(at == pytest.approx(1700.0, abs=0.05) for at in ticks)


def test_marks_that_crowd_are_written_beside_each_other(sheets):
    crowded = [w for w in sheets["wire-middle-section"].labels if "belt left" in w.text]
    assert len(crowded) == 3
    rooms = [shapely.Polygon(label.corners()) for label in crowded]
    assert not any(a.intersects(b) for i, a in enumerate(rooms) for b in rooms[:i])


def test_a_wire_that_leaves_its_plane_gets_a_second_outline(sheets):
    sheet = sheets["wire-helix"]
    assert len(strokes_of(sheet, "centre")) == 2
    assert "use both outlines" in words_of(sheet)
    flat, edge = (stroke.points for stroke in strokes_of(sheet, "centre"))
    helix = next(w for w in small_job.buck().wires if w.name == "helix").axis
    np.testing.assert_allclose(flat[:, 0], edge[:, 0], atol=1e-9)
    together = np.column_stack([flat, edge[:, 1]])
    np.testing.assert_allclose(
        np.linalg.norm(np.diff(together, axis=0), axis=1),
        np.linalg.norm(np.diff(helix, axis=0), axis=1),
        atol=1e-9,
    )


def test_left_and_right_wires_are_mirror_images(sheets):
    (left,), (right,) = (
        strokes_of(sheets[f"wire-belt-{side}"], "centre") for side in ("left", "right")
    )
    # Each is seen from its own outside, so what is to the left on one is to the right on the other.
    np.testing.assert_allclose(left.points * (-1.0, 1.0), right.points, atol=1e-6)


def test_a_sprung_wire_is_sprung_and_a_bent_one_has_its_radius(sheets):
    assert "SPRING INTO PLACE" in words_of(sheets["wire-roof-centre-line"])
    assert "bend the tightest place to R 160" in words_of(sheets["wire-middle-section"])


def test_a_finding_is_printed_on_the_sheet_it_is_about(sheets):
    assert any("2 mm from middle section" in note for note in sheets["wire-helix"].notes)
    assert not any("2 mm from middle" in note for note in sheets["wire-belt-left"].notes)


def test_the_frame_is_drawn_in_vehicle_millimetres_with_every_member_listed(sheets):
    bars = {s.name: s for s in strokes_of(sheets["frame-side-elevation"], "outline")}
    (member,) = [m for m in small_job.buck().members if m.name == "F1"]
    assert np.ptp(bars["F1"].points[:, 0]) == pytest.approx(abs(member.end - member.start)[0])
    assert np.ptp(bars["F1"].points[:, 1]) == pytest.approx(25.4)
    listed = words_of(sheets["cut-list"])
    pieces = [*small_job.buck().members, *small_job.buck().wires]
    assert all(piece.name in listed for piece in pieces)
    assert all(f"{piece.cut_length:.1f}" in listed for piece in pieces)
    listed = words_of(sheets["posts"])
    assert all(post.name in listed for post in small_job.buck().posts)
    assert all(f"{post.cut_length:.1f}" in listed for post in small_job.buck().posts)


def test_isolines_lie_where_the_area_change_is_what_they_say(sheets):
    sheet = sheets["blank-wing-crown"]
    blank = small_job.panels().blanks[0]
    triangles = small_job.panels().panels[0].triangles
    centres = blank.flat[triangles].mean(axis=1)
    found = {"stretch": [], "shrink": []}
    for ink, changes in found.items():
        for stroke in strokes_of(sheet, ink):
            if stroke.name.endswith("%"):
                near = np.linalg.norm(centres[:, None] - stroke.points[None], axis=2).argmin(axis=0)
                error = blank.area_change[near] - float(stroke.name.rstrip(" %")) / 100.0
                changes.append(np.abs(error).mean())
    assert found["stretch"]
    assert found["shrink"]
    assert max(found["stretch"] + found["shrink"]) < 0.01


def test_a_blank_carries_metal_grain_verdict_and_its_cut_outline(sheets):
    sheet = sheets["blank-wing-crown"]
    text = words_of(sheet)
    for words in ("3003-H14, 1.2 mm", "grain", "WITH CARE", "OUTSIDE UP", "wheel the middle"):
        assert words in text
    (cut,) = strokes_of(sheet, "cut")
    assert cut.closed
    np.testing.assert_allclose(cut.points, small_job.panels().blanks[0].outline)


def test_the_grid_on_a_blank_is_square_and_stays_inside_the_trim_line(sheets):
    net = shapely.Polygon(small_job.panels().blanks[0].net_outline).buffer(1e-6)
    grid = strokes_of(sheets["blank-wing-crown"], "grid")
    assert all(net.covers(shapely.LineString(stroke.points)) for stroke in grid)
    levels = sorted({round(s.points[0, 1], 6) for s in grid if np.ptp(s.points[:, 1]) < 1e-6})
    np.testing.assert_allclose(np.diff(levels), 50.0)


def test_what_is_written_on_a_card_stays_on_the_card(sheets):
    for gauge in small_job.gauges().gauges:
        sheet = sheets[short_name(f"gauge-{gauge.name} {gauge.hand}")]
        card = shapely.Polygon(gauge.outline)
        on_card = [
            label.text for label in sheet.labels if card.contains(shapely.Polygon(label.corners()))
        ]
        assert f"{gauge.name} {gauge.hand}" in on_card
        assert set(gauge.mark_names) <= set(on_card)
        assert any("FORWARD" in text or "REARWARD" in text for text in on_card)


def test_the_arrow_on_a_card_points_to_the_front(sheets):
    arrows = [
        stroke.points
        for stroke in sheets["gauge-front-wing-y-500-left"].strokes
        if stroke.ink == "mark" and not stroke.name and len(stroke.points) == 2
    ]
    ((tail, tip),) = arrows
    assert tip[0] - tail[0] == pytest.approx(-50.0)
    assert "this face FORWARD" in words_of(sheets["gauge-front-wing-x-1200-left"])


def test_spots_carry_their_heights(sheets):
    sheet = sheets["check-left-front-wing"]
    text = words_of(sheet)
    assert "A +3.2 mm" in text
    assert "B -2.4 mm" in text
    rings = {s.name: s for s in sheet.strokes if s.name.startswith("spot")}
    assert rings["spot A"].ink == "stretch"
    assert rings["spot B"].ink == "shrink"
    radius = np.linalg.norm(np.ptp(rings["spot B"].points, axis=0)) / np.sqrt(8.0)
    assert np.pi * radius**2 == pytest.approx(9000.0, rel=0.01)


def test_names_of_sheets_never_repeat():
    taken = []
    for _ in range(3):
        taken.append(short_name("Flügel, vorn links – mit sehr langem Namen!", taken))
    assert len(set(taken)) == 3
    assert short_name("翼") == "sheet"
    assert short_name("wing x -300") == "wing-x-minus-300"


def test_a_line_that_stands_for_both_sides_is_drawn_on_both(sheets):
    plan = {stroke.name: stroke.points for stroke in sheets["plan"].strokes}
    np.testing.assert_allclose(plan["window left, right"], plan["window left"] * (1.0, -1.0))
    assert any("mirror image of the left" in note for note in sheets["plan"].notes)


def test_wheel_rims_fix_the_axes_and_are_no_lines_of_the_body():
    job, reference = small_job.job(), small_job.reference()
    rim = small_job.fair(
        "front rim left", small_job.ring_points(0.0, -700.0, 330.0, 220.0), closed=True
    )
    network = reference.network.model_copy(update={"lines": (*reference.network.lines, rim)})
    spec = LineSpec(name="front rim left", mark="edge", closed=True, use="datum")
    sheets = elevation_sheets(
        job.model_copy(update={"lines": (*job.lines, spec)}),
        reference.model_copy(update={"network": network}),
    )
    assert not any(stroke.name == "front rim left" for stroke in sheets[1].strokes)
    assert sum(stroke.name == "front rim left" for stroke in sheets[0].strokes) == 1


def test_a_zone_behind_another_is_shown_where_it_has_been_moved_to():
    job = small_job.job()
    first = job.departures[0]
    second = first.model_copy(update={"name": "tail", "start": 2400.0, "end": 2500.0, "by": 30.0})
    both = job.model_copy(update={"departures": (first, second)})
    side = elevation_sheets(both, small_job.reference())[0]
    spans = {
        (stroke.points[0, 0], stroke.points[1, 0])
        for stroke in side.strokes
        if stroke.ink == "centre" and not stroke.name and len(stroke.points) == 2
    }
    assert (1500.0, 1960.0) in spans
    assert (2460.0, 2590.0) in spans


def test_marks_where_the_ends_of_a_ring_meet_are_written_once_and_clear_of_each_other():
    buck = small_job.buck()
    ring = next(wire for wire in buck.wires if wire.name == "window left")
    tacks = [
        Tack(wires=(ring.name, other), at=(at, 10.0), point=np.zeros(3))
        for other, at in (
            ("crown", 0.0),
            ("crown", ring.length),
            ("belt", 3.0),
            ("door", ring.length - 4.0),
        )
    ]
    changed = buck.model_copy(update={"tacks": tuple(tacks)})
    sheet = bend_sheet(small_job.job(), changed, ring, name="ring")
    marked = [
        label for label in sheet.labels if label.text.split()[-1] in ("crown", "belt", "door")
    ]
    assert [label.text for label in marked] == [
        f"{ring.length - 4.0:.1f} door",
        "0.0 crown",
        "3.0 belt",
    ]
    rooms = [shapely.Polygon(label.corners()) for label in marked]
    assert not any(a.intersects(b) for i, a in enumerate(rooms) for b in rooms[:i])


def test_numbers_of_isolines_keep_inside_the_trim_line_and_off_the_letters(sheets):
    sheet = sheets["blank-wing-crown"]
    net = shapely.Polygon(small_job.panels().blanks[0].net_outline)
    numbers = [label for label in sheet.labels if label.text.endswith(" %")]
    letters = [shapely.Polygon(w.corners()) for w in sheet.labels if len(w.text) == 1]
    assert numbers
    for label in numbers:
        room = shapely.Polygon(label.corners())
        assert net.contains(room)
        assert not any(room.intersects(letter) for letter in letters)


def test_a_spot_lies_on_the_flat_skin_where_it_lies_on_the_body(sheets):
    region = small_job.skin().regions[0]
    rings = {s.name: s.points.mean(axis=0) for s in sheets["check-left-front-wing"].strokes}
    np.testing.assert_allclose(rings["spot A"], region.chart[0], atol=1e-6)
    np.testing.assert_allclose(rings["spot B"], region.chart[150], atol=1e-6)
