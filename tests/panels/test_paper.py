import numpy as np
import pytest

from buckwright.model.panels import Blank, Panel, SheetStock
from buckwright.model.papers import PaperPattern
from buckwright.panels.blank import flatten_panel
from buckwright.panels.other_side import mirrored_blank, mirrored_panel
from buckwright.panels.paper import paper_pattern
from buckwright.panels.paper_side import mirrored_pattern, paper_patterns
from discs_on_paper import as_panel, cap, cylinder, grid, wing
from meshes_on_paper import MOVES

SHEET = SheetStock(alloy="3003-H14", thickness=1.27)


def laid(panel: Panel) -> tuple[Panel, Blank]:
    return panel, flatten_panel(panel, SHEET, allowance=0.0)


def pattern_of(mesh: tuple[np.ndarray, np.ndarray], **choices: object) -> PaperPattern:
    return paper_pattern(*laid(as_panel(mesh)), **choices)


def gaps(pattern: PaperPattern) -> np.ndarray:
    return np.concatenate([joint.gap for joint in pattern.joints])


def drift(pattern: PaperPattern) -> float:
    """How fast strips draw together: gap / (width at^2), half the Gauss curvature."""
    at = np.concatenate([joint.at for joint in pattern.joints])
    far = np.abs(at) > 0.5 * np.abs(at).max()
    return float(np.median(gaps(pattern)[far] / (pattern.width * at[far] ** 2)))


def test_on_a_cylinder_all_strips_butt_and_cover_it() -> None:
    pattern = pattern_of(cylinder(300.0, 1.2, 700.0, 40))
    assert np.abs(gaps(pattern)).max() < 0.05
    assert pattern.paper_area == pytest.approx(pattern.panel_area, rel=0.01)
    assert pattern.words == "The strips butt everywhere: the panel only bends."


def test_on_a_saddle_strips_gape_where_metal_is_missing() -> None:
    half = np.linspace(-200.0, 200.0, 41)
    saddle = grid(lambda u, v: np.column_stack([u, v, (u**2 - v**2) / 900.0]), half, half)
    pattern = pattern_of(saddle)
    assert pattern.missing > 20.0 * pattern.excess
    assert gaps(pattern).max() > 1.0
    assert "missing" in pattern.words


def test_paper_gaps_and_overlaps_add_up_to_the_panel() -> None:
    for mesh in (cap(20, 0.5), wing(20), cylinder(300.0, 1.2, 700.0, 30)):
        pattern = pattern_of(mesh)
        told = pattern.paper_area + pattern.missing - pattern.excess
        assert told == pytest.approx(pattern.panel_area, rel=pattern.tolerance)
        assert pattern.findings == ()
        assert pattern.unaccounted == pytest.approx(pattern.panel_area - told, abs=1e-6)


def test_outlines_have_the_area_of_the_paper() -> None:
    pattern = pattern_of(wing(24))
    area = 0.0
    for strip in pattern.strips:
        x, y = strip.outline.T
        area += 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
        assert np.ptp(y) <= pattern.width + 1e-9
    assert abs(area) == pytest.approx(pattern.paper_area, rel=0.02)


def test_strips_along_a_wing_lap_so_far_that_it_says_so() -> None:
    pattern = pattern_of(wing(24), run="along")
    assert [finding.code for finding in pattern.findings] == ["paper-leaves-area"]


def test_overlaps_grow_with_the_width_of_the_strips() -> None:
    wide, narrow = pattern_of(cap(24, 0.4), width=60.0), pattern_of(cap(24, 0.4), width=30.0)
    assert drift(wide) == pytest.approx(drift(narrow), rel=0.03)
    assert drift(wide) == pytest.approx(-0.5 / 500.0**2, rel=0.03)
    with pytest.raises(ValueError, match="width"):
        pattern_of(cap(6, 0.5), width=0.0)


@pytest.mark.parametrize("move", ["turn", "shift", "scale"])
def test_a_moved_panel_has_the_moved_pattern(move: str) -> None:
    vertices, triangles = wing(16)
    size = 2.5 if move == "scale" else 1.0
    one = pattern_of((vertices, triangles))
    other = pattern_of((MOVES[move](vertices), triangles), width=50.0 * size)
    assert len(one.strips) == len(other.strips)
    assert drift(other) == pytest.approx(drift(one) / size**2, rel=0.03)


@pytest.mark.parametrize("run", ["across", "along"])
def test_the_right_sides_pattern_is_the_lefts_turned_over(run: str) -> None:
    panel = as_panel(wing(16)).model_copy(update={"side": "left", "spec": "wing"})
    _, blank = laid(panel)
    right = mirrored_panel(panel)
    other = mirrored_blank(blank, panel, right)
    left = paper_pattern(panel, blank, run=run)
    mirrored, own = mirrored_pattern(left, blank, other), paper_pattern(right, other, run=run)
    assert mirrored.panel == "wing right"
    assert [s.number for s in mirrored.strips] == [s.number for s in own.strips]
    for ours, theirs in zip(mirrored.joints, own.joints, strict=True):
        assert ours.strips == theirs.strips
        assert np.allclose(ours.gap, theirs.gap, atol=0.1)
        assert np.allclose(ours.at, theirs.at)
    for ours, theirs in zip(mirrored.strips, own.strips, strict=True):
        assert np.allclose(ours.middle[0], theirs.middle[0], atol=8.0)
    assert np.allclose(mirrored.origin, own.origin, atol=1e-6)


def test_each_panel_gets_a_pattern_and_pairs_share_figures() -> None:
    panel = as_panel(wing(12)).model_copy(update={"side": "left", "spec": "wing"})
    _, blank = laid(panel)
    right = mirrored_panel(panel)
    pairs = [(panel, blank), (right, mirrored_blank(blank, panel, right))]
    left, other = paper_patterns(pairs)
    assert (left.panel, other.panel) == ("panel", "wing right")
    assert other.excess == left.excess
    assert np.array_equal(other.spine, left.spine * [1.0, -1.0, 1.0])
