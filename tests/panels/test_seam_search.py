from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.job import Job
from buckwright.model.panels import PanelSpec, SeamSpec
from buckwright.model.seams import SeamStudy, ShopReach
from buckwright.panels.seam_search import Watch
from buckwright.panels.seam_start import whole_part
from buckwright.panels.seam_study import accept, propose_seams
from buckwright.panels.seam_ways import line_divisions, straight_divisions, worth_trying
from buckwright.panels.seams import cut_panels
from seams_on_paper import SHEET, AtOnce, wing_with_lines

SKIN = wing_with_lines(6)
REACH = ShopReach(most_pieces=3)


@pytest.fixture(scope="module")
def study() -> SeamStudy:
    return propose_seams("front wing", SKIN, SHEET, watch=Watch(AtOnce()), reach=REACH)


def test_the_single_panel_is_the_first_option(study: SeamStudy) -> None:
    single = study.options[0]
    assert (single.name, len(single.pieces), single.seams, single.weld) == ("A", 1, (), 0.0)


def test_the_option_to_take_lowers_the_peak_by_a_third_at_least(study: SeamStudy) -> None:
    assert study.option(study.chosen).peak < 0.7 * study.options[0].peak


def test_a_seam_along_a_line_is_taken_where_there_is_one(study: SeamStudy) -> None:
    assert study.option(study.chosen).seams[0].line == "front wing crown"


def test_no_option_is_beaten_in_pieces_weld_and_strain_at_once(study: SeamStudy) -> None:
    for one in study.options:
        for other in study.options:
            fewer = len(other.pieces) <= len(one.pieces)
            assert other is one or not (fewer and other.weld < one.weld and other.peak < one.peak)


def test_seams_meet_edges_squarely_and_say_why_they_are_there(study: SeamStudy) -> None:
    for option in study.options:
        for seam in option.seams:
            assert min(seam.meets_deg) > (30.0 if seam.line else 60.0)
            assert seam.length > 100.0
            assert len(seam.why) > 60
            assert sum(seam.rounding_after) == pytest.approx(seam.rounding_before, rel=0.05)


def test_pieces_together_have_the_area_of_the_region(study: SeamStudy) -> None:
    areas = [sum(piece.area for piece in option.pieces) for option in study.options]
    assert areas == pytest.approx([areas[0]] * len(areas), rel=1e-3)


def test_an_accepted_option_gives_panels_that_the_job_can_cut(study: SeamStudy) -> None:
    other = PanelSpec(name="lid", region="lid")
    old = PanelSpec(name="old", region="front wing")
    drawn = SeamSpec(name="lid seam", region="lid", line="lid middle")
    job = Job(name="wing", panels=(old, other), seams=(drawn,))
    for option in study.options:
        taken = accept(study, option.name, job)
        assert taken.panels[-1] is other
        assert taken.seams[0] is drawn
        mine = tuple(p for p in taken.panels if p.region == "front wing")
        panels, findings = cut_panels(mine, SKIN, taken.seams)
        assert findings == ()
        assert [panel.name for panel in panels] == [piece.name for piece in option.pieces]


def test_an_unknown_option_or_region_is_refused(study: SeamStudy) -> None:
    with pytest.raises(JobError, match="no option 'Z'"):
        accept(study, "Z", Job(name="wing"))
    with pytest.raises(JobError, match="no region 'bonnet'"):
        propose_seams("bonnet", SKIN, SHEET, watch=Watch(AtOnce()))


def test_a_search_that_is_stopped_keeps_the_best_so_far() -> None:
    asked = []

    def stopped() -> bool:
        asked.append(1)
        return len(asked) > 15

    watch = Watch(AtOnce(), stopped=stopped)
    study = propose_seams("front wing", SKIN, SHEET, watch=watch, reach=REACH)
    assert not study.complete
    assert study.options[0].peak > 0.0
    assert study.findings[0].code == "search-stopped"
    assert len(study.options) > 1
    assert study.option(study.chosen).peak < study.options[0].peak


def test_progress_never_goes_back_and_any_number_of_workers_finds_the_same() -> None:
    reach, shares, answers = ShopReach(most_pieces=2), list[float](), []
    with ThreadPoolExecutor(3) as three:
        for executor in (AtOnce(), three):
            shares.clear()
            watch = Watch(executor, shares.append)
            answers.append(propose_seams("front wing", SKIN, SHEET, watch=watch, reach=reach))
            assert shares == sorted(shares)
            assert shares[-1] == 1.0
    assert answers[0].model_dump_json() == answers[1].model_dump_json()


def test_a_small_throat_asks_for_narrower_pieces() -> None:
    reach = ShopReach(throat=110.0, most_pieces=2)
    study = propose_seams("front wing", SKIN, SHEET, watch=Watch(AtOnce()), reach=reach)
    assert not study.options[0].within_reach
    chosen = study.option(study.chosen)
    assert chosen.within_reach
    assert all(piece.size[1] <= 200.0 for piece in chosen.pieces)


def test_no_straight_way_runs_beside_an_edge_or_leaves_a_sliver() -> None:
    part = whole_part(SKIN.regions[0])
    found = straight_divisions(part, 0)
    assert found
    for division in found:
        assert min(half.area for half in division.parts) > 0.03 * part.area
        assert np.degrees(min(division.meets)) >= 62.0


def test_lines_come_before_straight_ways_however_good_these_are() -> None:
    part = whole_part(SKIN.regions[0])
    along = line_divisions(part)
    both = worth_trying(part, along, straight_divisions(part, 1))
    assert [d.line for d in both[: len(along)]] == ["front wing crown"]
    assert all(d.line is None for d in both[len(along) :])
