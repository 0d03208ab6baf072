import numpy as np
import pytest

from buckwright.drawings.papers import paper_sheets
from buckwright.drawings.tradeoff import tradeoff_sheet
from buckwright.files.paper_tables import papers_csv
from buckwright.model.drawings import Sheet
from buckwright.model.job import Job
from buckwright.model.papers import PaperPattern
from buckwright.model.seams import SeamStudy, ShopReach
from buckwright.panels.blank import flatten_panel
from buckwright.panels.paper import paper_pattern
from buckwright.panels.seam_search import Watch
from buckwright.panels.seam_study import propose_seams
from discs_on_paper import as_panel, wing
from seams_on_paper import SHEET, AtOnce, wing_with_lines

JOB = Job(name="Wren", sheet=SHEET)


@pytest.fixture(scope="module")
def pattern() -> PaperPattern:
    panel = as_panel(wing(16), "front wing")
    return paper_pattern(panel, flatten_panel(panel, SHEET, allowance=0.0))


@pytest.fixture(scope="module")
def sheet(pattern: PaperPattern) -> Sheet:
    return paper_sheets(JOB, (pattern,))[0]


@pytest.fixture(scope="module")
def study() -> SeamStudy:
    reach = ShopReach(most_pieces=2)
    return propose_seams(
        "front wing", wing_with_lines(6), SHEET, watch=Watch(AtOnce()), reach=reach
    )


def test_every_strip_is_there_to_cut_at_full_size(pattern: PaperPattern, sheet: Sheet) -> None:
    cut = [stroke for stroke in sheet.strokes if stroke.ink == "cut"]
    assert [stroke.name for stroke in cut] == [f"strip {s.number}" for s in pattern.strips]
    for stroke, strip in zip(cut, pattern.strips, strict=True):
        assert np.ptp(stroke.points, axis=0) == pytest.approx(np.ptp(strip.outline, axis=0))


def test_strips_do_not_lie_over_each_other_on_the_sheet(sheet: Sheet) -> None:
    boxes = [(s.points.min(axis=0), s.points.max(axis=0)) for s in sheet.strokes if s.ink == "cut"]
    for k, (low, high) in enumerate(boxes):
        for other_low, other_high in boxes[k + 1 :]:
            assert np.any(low > other_high) or np.any(high < other_low)


def test_each_figure_of_the_pattern_stands_in_the_table(
    pattern: PaperPattern, sheet: Sheet
) -> None:
    texts = [label.text for label in sheet.labels]
    for joint in pattern.joints:
        assert f"{joint.strips[0]} | {joint.strips[1]}" in texts
    most = min(float(joint.gap.min()) for joint in pattern.joints)
    # Twice beside the strips and once in the table.
    assert texts.count(f"{most:+.1f}") >= 3


def test_the_table_tells_excess_and_butt(pattern: PaperPattern) -> None:
    rows = papers_csv((pattern,)).splitlines()
    assert len(rows) == 1 + sum(len(joint.at) for joint in pattern.joints)
    assert any(row.endswith("excess") for row in rows)
    assert all(row.startswith("front wing,") for row in rows[1:])
    assert sum(row.split(",")[3] == "0" and row.endswith("butt") for row in rows[1:]) == len(
        pattern.joints
    )


def test_the_chart_shows_every_option_and_rings_the_one_to_take(study: SeamStudy) -> None:
    sheet = tradeoff_sheet(study)
    texts = " ".join(label.text for label in sheet.labels)
    for option in study.options:
        assert f"{option.name}: " in texts
    rings = [s for s in sheet.strokes if s.ink == "mark" and s.closed]
    chosen = study.option(study.chosen)
    assert len(rings) == 2
    crosses = np.array([r.points.mean(axis=0) for r in rings])
    assert np.allclose(crosses[0], crosses[1], atol=0.1)
    single = study.options[0]
    assert (crosses[0, 0] > 0.0) == (chosen.weld > single.weld)


def test_seams_are_drawn_inside_the_small_outline_of_the_region(study: SeamStudy) -> None:
    sheet = tradeoff_sheet(study)
    outlines = [s.points for s in sheet.strokes if s.ink == "outline" and s.closed]
    seams = [s.points for s in sheet.strokes if s.name.startswith("front wing seam")]
    assert len(outlines) == len(study.options)
    assert len(seams) == sum(len(option.seams) for option in study.options)
    for seam in seams:
        # The crown of a wing stands a little above the outline of its edge.
        assert any(
            np.all(seam.min(axis=0) > ring.min(axis=0) - 40.0)
            and np.all(seam.max(axis=0) < ring.max(axis=0) + 40.0)
            for ring in outlines
        )
