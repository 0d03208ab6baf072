"""Sheets of cards, stands and sweeps: a tired person sees which way up, which side, which end."""

import numpy as np
import pytest
import shapely

from buckwright.drawings import card_sheets, stand_sheets, sweep_sheets
from buckwright.gauges import make_gauges
from buckwright.model.drawings import Sheet
from buckwright.model.gauges import CardPlane, Gauges, GaugeSpec, SweepSpec
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import Skin
from skins_on_paper import grid_region

JOB = Job(name="barrel")
SPEC = GaugeSpec(
    region="wing",
    at=(-300.0, -100.0, 120.0, 310.0),
    planes=(CardPlane(name="corner", point=(50.0, -700.0, 700.0), normal=(1.0, 2.0, 0.0)),),
    face="both",
    metal=1.5,
    stand=True,
    sweeps=SweepSpec(chord=120.0, tolerance=0.4),
)


def gauges(**change: object) -> Gauges:
    def barrel(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        radius = 420.0 - u**2 / 2500.0
        return np.column_stack([u, -700.0 - radius * np.cos(v), 300.0 + radius * np.sin(v)])

    region = grid_region(
        "wing",
        barrel,
        np.linspace(-450.0, 450.0, 41),
        np.linspace(0.9, 2.2, 21),
        outward=lambda p: p - [0.0, -700.0, 300.0],
        side="left",
    )
    # The flat picture of an outside that is up, front to the left: right is up.
    flat = np.column_stack([region.vertices[:, 0], region.vertices[:, 1]])
    region = region.model_copy(update={"chart": flat})
    spec = SPEC.model_copy(update=change)
    return make_gauges((spec,), Skin(regions=(region,)), LineNetwork(lines=(), crossings=()))


@pytest.fixture(scope="module")
def made() -> Gauges:
    return gauges()


def all_sheets(made: Gauges) -> list[Sheet]:
    return [*card_sheets(JOB, made), *stand_sheets(JOB, made), *sweep_sheets(JOB, made.sweeps)]


def words_of(sheet: Sheet) -> str:
    return " / ".join(label.text for label in sheet.labels)


def test_names_are_unique_and_keep_the_hand(made: Gauges) -> None:
    sheets = all_sheets(made)
    names = [sheet.name for sheet in sheets]
    assert len(set(names)) == len(names)
    assert max(map(len, names)) <= 40
    for sheet, gauge in zip(card_sheets(JOB, made), made.gauges, strict=True):
        assert sheet.name.endswith(gauge.hand)
        assert ("-in-" in sheet.name) == (gauge.face == "inside")


def test_every_sheet_says_which_side_and_which_way(made: Gauges) -> None:
    for sheet in all_sheets(made):
        text = words_of(sheet)
        assert "LEFT" in text or "RIGHT" in text
        assert "forward" in text.lower() or "rearward" in text.lower() or "alike" in text
        if sheet.name.endswith("left") or "-left-" in sheet.name:
            assert "RIGHT" not in text
        if sheet.name.endswith("right") or "-right-" in sheet.name:
            assert "LEFT" not in text


def test_words_on_combs_and_sweeps_stay_on_them(made: Gauges) -> None:
    for stand, board in ((s, b) for s in made.stands for b in s.boards):
        sheet = next(s for s in stand_sheets(JOB, made) if s.strokes[-1].name == board.name)
        shape = shapely.Polygon(board.outline)
        on = [w.text for w in sheet.labels if shape.contains(shapely.Polygon(w.corners()))]
        assert {f"x {at:g}" for at in SPEC.at} <= set(on)
        assert board.name in on
        assert stand.hand in board.name
    sheet = sweep_sheets(JOB, made.sweeps)[0]
    shapes = {s.name: shapely.Polygon(s.points) for s in sheet.strokes if s.ink == "cut"}
    for sweep in made.sweeps[0].sweeps:
        on = [
            w.text
            for w in sheet.labels
            if shapes[f"sweep {sweep.name}"].contains(shapely.Polygon(w.corners()))
        ]
        assert sweep.name in on
        assert any(text.startswith(("R ", "straight")) for text in on)


def test_arrows_on_combs_point_to_the_front(made: Gauges) -> None:
    for stand, board in ((s, b) for s in made.stands for b in s.boards):
        sheet = next(s for s in stand_sheets(JOB, made) if s.strokes[-1].name == board.name)
        shaft = next(s.points for s in sheet.strokes if s.ink == "mark" and len(s.points) == 2)
        way = (shaft[1] - shaft[0]) @ board.axes
        assert way[0] / np.linalg.norm(way) == pytest.approx(-1.0), stand.name


def test_the_bench_shows_every_part_where_it_stands(made: Gauges) -> None:
    stand = made.stands[0]
    sheet = next(s for s in stand_sheets(JOB, made) if s.name == "wing-stand-left")
    slabs = {s.name: s.points for s in sheet.strokes if s.ink == "outline"}
    assert set(slabs) == {*stand.cards, *(board.name for board in stand.boards)}
    middles = sorted(slabs[name][:, 0].mean() for name in stand.cards)
    np.testing.assert_allclose(np.diff(middles), np.diff(SPEC.at), atol=1e-6)
    for name in stand.cards:
        low, high = slabs[name].min(axis=0), slabs[name].max(axis=0)
        assert high[0] - low[0] == pytest.approx(3.0)


def test_words_can_be_cut_through_and_then_nothing_is_left_to_draw(made: Gauges) -> None:
    drawn = card_sheets(JOB, made)[0]
    cut = card_sheets(JOB, gauges(labels="cut"))[0]
    card = shapely.Polygon(made.gauges[0].outline)
    inside = [w for w in drawn.labels if card.contains(shapely.Polygon(w.corners()))]
    assert inside
    left = [w.text for w in cut.labels if card.contains(shapely.Polygon(w.corners()))]
    assert left == []
    strokes = {s.name for s in cut.strokes if s.ink == "cut"}
    assert {w.text for w in inside} <= strokes
    assert not [s for s in cut.strokes if s.ink == "mark"]
    letters = shapely.union_all([shapely.LineString(s.points) for s in cut.strokes[:-1]])
    assert len(shapely.get_parts(shapely.polygonize([letters]))) == 0


def test_inside_cards_tell_high_from_low_the_other_way(made: Gauges) -> None:
    by_face = {g.face: s for s, g in zip(card_sheets(JOB, made), made.gauges, strict=True)}
    assert "light under the card is a low spot" in " ".join(by_face["outside"].notes)
    assert "light under the card is a high spot" in " ".join(by_face["inside"].notes)


def test_cards_in_a_stand_say_how_much_to_file_off_their_edge(made: Gauges) -> None:
    sheets = dict(zip((g.name for g in made.gauges), card_sheets(JOB, made), strict=True))
    assert "file the corners" in " ".join(sheets["wing x 310 left"].notes)
    assert "file the corners" not in " ".join(sheets["wing corner left"].notes)


def test_sweep_maps_show_each_area_with_its_letter_inside(made: Gauges) -> None:
    for chosen in made.sweeps:
        outline = shapely.Polygon(chosen.chart[[0, 20, 860, 840]]).buffer(2.0)
        sheets = [s for s in sweep_sheets(JOB, [chosen]) if s.name.startswith("sweep-map")]
        assert len(sheets) == 2
        for sheet in sheets:
            lines = [s for s in sheet.strokes if s.name.startswith("sweep ")]
            assert lines
            for stroke in lines:
                assert outline.contains(shapely.Point(stroke.points.mean(axis=0)))


def test_a_folded_picture_gets_no_map_but_its_sweeps(made: Gauges) -> None:
    chosen = made.sweeps[0]
    folded = chosen.chart.copy()
    folded[:, 0] = np.abs(folded[:, 0])
    names = [s.name for s in sweep_sheets(JOB, [chosen.model_copy(update={"chart": folded})])]
    assert names == ["sweeps-wing"]


def test_every_mark_has_its_name_near_even_at_the_corners_of_a_narrow_card(made: Gauges) -> None:
    card = made.gauges[0]
    ends = np.vstack([card.profile[0], card.profile[len(card.profile) // 2], card.profile[-1]])
    names = ("front edge", "crown", "rear edge")
    marked = card.model_copy(update={"marks": ends, "mark_names": names})
    (sheet,) = card_sheets(JOB, made.model_copy(update={"gauges": (marked,)}))
    rooms = {w.text: shapely.Polygon(w.corners()) for w in sheet.labels if w.text in names}
    assert set(rooms) == set(names)
    ticks = {s.name: shapely.LineString(s.points) for s in sheet.strokes if s.name in names}
    for name, room in rooms.items():
        assert room.distance(ticks[name]) < 30.0
        nearest = min(ticks, key=lambda other: room.distance(ticks[other]))
        assert nearest == name


def test_the_words_under_a_narrow_card_stay_on_one_width_of_paper(made: Gauges) -> None:
    for sheet in card_sheets(JOB, made):
        card = next(s for s in sheet.strokes if s.ink == "cut").points
        room = max(float(np.ptp(card[:, 0])), 180.0)
        under = [w.corners() for w in sheet.labels if w.at[1] < card[:, 1].min()]
        assert under
        assert max(float(corners[:, 0].max()) for corners in under) < card[:, 0].min() + room
