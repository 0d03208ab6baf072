"""The cover's figures of frame, panels, sheets and gauges."""

import numpy as np
import pytest

from buckwright.files.summary import summary_rows
from buckwright.files.summary_metal import frame_rows, gauge_words, panel_rows
from buckwright.model.frame import FrameRooms, InnerFrame, Lift, WayOut
from buckwright.model.gauges import Gauges, GaugeSet
from buckwright.model.nesting import Layout, SheetLayout
from buckwright.model.panels import OtherMetal, PanelVerdict
from drawings import small_job


def frame(**more):
    return InnerFrame(
        kind="square tube",
        stock="25.4 x 1.65 mm square tube",
        mass_per_m=1.2,
        rooms=FrameRooms(skin=30.0),
        members_mass=30.0,
        centre_of_gravity=np.zeros(3),
        **more,
    )


def told(rows):
    return dict(rows)


def test_the_frame_says_how_it_comes_out_and_who_lifts_it():
    lifts = (
        Lift(what="inner frame", mass=31.2, people=2, limit=33.0, rule="two"),
        Lift(what="buck with frame", mass=76.6, people=0, limit=60.0, rule="none"),
    )
    way = WayOut(free=True, way="down", direction=np.array([0.0, 0.0, -1.0]), least_gap=28.9)
    buck = small_job.buck().model_copy(update={"frame": frame(lifts=lifts, way_out=way)})
    rows = told(frame_rows(buck))
    assert rows["The frame comes out"] == "down; 29 mm from the metal at the closest"
    assert rows["Lifting"] == (
        "inner frame, 31 kg: 2 people; buck with frame, 77 kg: only with a hoist"
    )


@pytest.mark.parametrize(
    ("way", "said"),
    [
        ({"free": True, "way": "down", "wires_to_cut": ("a", "b")}, "once 2 wires are cut, down"),
        ({"free": False, "way": "", "pieces": (("bay 1", "rear"),)}, "bolted apart, bay 1: rear"),
    ],
)
def test_a_frame_that_does_not_come_out_freely_says_what_is_to_be_done(way, said):
    out = WayOut(direction=np.zeros(3), **way)
    buck = small_job.buck().model_copy(update={"frame": frame(way_out=out)})
    assert said in told(frame_rows(buck))["The frame comes out"]


def verdict(step, asked, reason, *others):
    return PanelVerdict(
        step=step,
        reason=reason,
        elongation=0.04,
        source="table",
        asked=asked,
        others=tuple(
            OtherMetal(alloy="a", thickness=1.0, step="takes it", share=0.5, words=words)
            for words in others
        ),
    )


def panels_with(*named):
    panels = small_job.panels()
    blank = panels.blanks[0]
    blanks = tuple(blank.model_copy(update={"panel": name, "verdict": one}) for name, one in named)
    return panels.model_copy(update={"blanks": blanks})


def test_panels_that_are_too_hard_come_first_with_why_and_what_to_do():
    panels = panels_with(
        ("top", verdict("takes it", 0.01, "Needs 1 %.")),
        ("nose left", verdict("will not take it", 0.05, "Needs 5 %. Anneal it.")),
        (
            "nose right",
            verdict("will not take it", 0.06, "Needs 6 %. Anneal it.", "with one seam more, 2 %"),
        ),
    )
    rows = panel_rows(panels, small_job.job())
    assert [name for name, _ in rows][1:] == ["The sheet will not take", "The sheet takes"]
    assert told(rows)["The sheet will not take"] == (
        "nose (left and right). Needs 6 %. Anneal it. Or with one seam more, 2 %."
    )
    assert told(rows)["The sheet takes"] == "top. Needs 1 %."


def test_sheets_to_cut_tell_size_use_and_cost():
    sheet = SheetLayout(name="sheet 1", size=(2438.4, 1219.2), offcut=False, pieces=(), density=0.5)
    layout = Layout(
        stock="3003-H14, 1.27 mm",
        sheets=(sheet, sheet.model_copy(update={"offcut": True})),
        gap=6.0,
        margin=10.0,
        gap_kept=6.0,
        margin_kept=10.0,
        overlap=0.0,
        sheets_used=1.2,
        sheets_bound=1.0,
        density=0.554,
        mass=10.0,
        mass_cut=2.0,
        cost=61.5,
        left_over=("roof",),
    )
    panels = small_job.panels().model_copy(update={"layout": layout})
    words = told(panel_rows(panels, small_job.job()))["Sheets to cut"]
    for said in ("1 new sheet and 1 offcut", "2438 x 1219 mm", "55 %", "cost 61.50", "roof"):
        assert said in words


def test_gauges_tell_what_is_proven_between_their_cards():
    chosen = GaugeSet(
        region="wing",
        face="outside",
        normal=np.array([1.0, 0.0, 0.0]),
        at=np.array([0.0, 10.0]),
        tolerance=1.0,
        error=0.95,
        error_at=np.zeros(3),
        law="a batten",
    )
    words = gauge_words(Gauges(gauges=(), sets=(chosen,)))
    assert "true within 0.95 mm (1 mm asked for)" in words


def test_the_small_job_still_tells_all_its_steps():
    names = [name for name, _ in summary_rows(small_job.job(), small_job.products())]
    assert {"Buck", "Frame", "Panels", "Gauges", "Work"} <= set(names)
