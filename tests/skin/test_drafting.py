import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.geometry.mesh import MeshLocator
from buckwright.model.creases import CreaseSpec
from buckwright.model.lines import LineNetwork
from buckwright.skin import span_region
from buckwright.skin.drafting import draft_region, touched_regions
from networks_on_paper import cap, tunnel, two_panels, wing

UP = np.array([0.0, 0.0, 1.0])


def _pulled(network: LineNetwork, name: str, by: float) -> LineNetwork:
    """The line pulled up in its middle, and its crossings with it."""
    lines = []
    for line in network.lines:
        if line.name == name:
            control = line.control.copy()
            part = np.linspace(-1.0, 1.0, len(control))
            control[:, 2] += by * np.exp(-((part / 0.4) ** 2))
            line = line.model_copy(update={"control": control})
        lines.append(line)
    crossings = tuple(
        c.model_copy(update={"point": lines_point(lines, c.lines[0], c.parameters[0])})
        if name in c.lines
        else c
        for c in network.crossings
    )
    return network.model_copy(update={"lines": tuple(lines), "crossings": crossings})


def lines_point(lines: list, name: str, at: float) -> np.ndarray:
    (line,) = (line for line in lines if line.name == name)
    return np.asarray(line.curve()(at))


def test_a_draft_of_a_vault_lies_within_millimetres_of_the_fine_one() -> None:
    network, spec = tunnel()
    draft = draft_region(network, (spec,), "tunnel")
    radius = 500.0 - 40.0 * (draft.region.vertices[:, 0] / 1600.0) ** 2
    off = np.hypot(draft.region.vertices[:, 1], draft.region.vertices[:, 2] - 700.0) - radius
    assert np.abs(off).max() < 3.0
    assert np.sqrt(np.mean(off**2)) < 0.5


def test_a_draft_from_the_one_before_is_the_skin_of_the_lines_as_they_are_now() -> None:
    network, spec = cap()
    before = draft_region(network, (spec,), "cap")
    pulled = _pulled(_pulled(network, "along", 12.0), "across", 12.0)
    after = draft_region(pulled, (spec,), "cap", before.sheet)
    fine = span_region(pulled, spec, edge_length=20.0)
    off = MeshLocator(fine.vertices, fine.triangles).closest(after.region.vertices)[0]
    assert np.sqrt(np.mean(off**2)) < 0.5
    moved = MeshLocator(before.region.vertices, before.region.triangles).closest(
        after.region.vertices
    )[0]
    assert np.abs(moved).max() > 8.0


def test_a_draft_from_a_sheet_of_other_lines_starts_anew() -> None:
    network, spec = cap()
    other = draft_region(*_only(tunnel()), "tunnel")
    first = draft_region(network, (spec,), "cap")
    second = draft_region(network, (spec,), "cap", other.sheet)
    assert np.array_equal(first.region.vertices, second.region.vertices)


def _only(case):
    network, spec = case
    return network, (spec,)


def test_a_left_region_has_its_mirror_image() -> None:
    network, spec = wing()
    left, right = draft_region(network, (spec,), spec.name).both_sides()
    assert (left.side, right.side) == ("left", "right")
    assert np.array_equal(right.vertices, left.vertices * [1.0, -1.0, 1.0])


def test_regions_are_touched_by_their_own_lines_and_choices_only() -> None:
    network, specs = two_panels()
    made = (network, specs)
    assert touched_regions(made, made) == ()
    rounded = tuple(
        line.model_copy(update={"control": line.control + 1e-4 * UP}) for line in network.lines
    )
    assert touched_regions(made, (network.model_copy(update={"lines": rounded}), specs)) == ()
    own = next(name for name in specs[1].boundary if name not in specs[0].boundary)
    moved = tuple(
        line.model_copy(update={"control": line.control + UP}) if line.name == own else line
        for line in network.lines
    )
    assert touched_regions(made, (network.model_copy(update={"lines": moved}), specs)) == (
        specs[1].name,
    )
    both = tuple(
        line.model_copy(update={"control": line.control + UP}) if line.name == "seam" else line
        for line in network.lines
    )
    changed = touched_regions(made, (network.model_copy(update={"lines": both}), specs))
    assert changed == tuple(spec.name for spec in specs)
    holes = specs[0].holes
    creased = specs[0].model_copy(
        update={"inner": holes, "holes": (), "creases": (CreaseSpec(line=holes[0]),)}
    )
    assert touched_regions(made, (network, (creased, specs[1]))) == (specs[0].name,)


def test_lines_that_bound_nothing_are_told() -> None:
    network, spec = cap()
    lost = spec.model_copy(update={"inner": ("along", "nowhere")})
    with pytest.raises(JobError, match="'nowhere'"):
        draft_region(network, (lost,), "cap")
