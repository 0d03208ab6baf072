import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from buckwright.errors import JobError
from buckwright.model.fields import FieldChoice, FoundFields
from buckwright.model.job import Job
from buckwright.model.lines import LineNetwork, LineSpec
from buckwright.model.skin import RegionSpec
from buckwright.skin import propose_fields, span_region
from networks_on_paper import cap, network_of, tunnel, two_panels, wing
from skins_on_paper import line_through

WREN = Path(__file__).parents[2] / "examples" / "wren"
sys.path.insert(0, str(WREN))
import truelines  # noqa: E402

Curve = Callable[[np.ndarray], np.ndarray]


def _round(spec: RegionSpec) -> set[tuple[str, ...]]:
    """The boundary from every start, both ways."""
    names = spec.boundary
    turned = {names[k:] + names[:k] for k in range(len(names))}
    return turned | {names[::-1] for names in turned}


def _same(found: RegionSpec, wanted: RegionSpec) -> bool:
    return (
        found.boundary in _round(wanted)
        and set(found.inner) == set(wanted.inner)
        and set(found.holes) == set(wanted.holes)
        and found.side == wanted.side
        and float(np.dot(found.outward, wanted.outward)) > 0.8
    )


@pytest.fixture(scope="module", name="van")
def _van() -> tuple[Job, LineNetwork]:
    job = Job.model_validate_json((WREN / "job.json").read_text(encoding="utf-8"))
    # Nowhere does it say which lines meet: they are exact, and found by coming near.
    at = np.linspace(0.0, 1.0, 241)
    lines = [
        line_through(name, curve(at), closed=ring)
        for name, (curve, ring) in truelines.lines().items()
    ]
    return job, LineNetwork(lines=tuple(lines), crossings=())


@pytest.fixture(scope="module", name="found")
def _found(van: tuple[Job, LineNetwork]) -> FoundFields:
    job, network = van
    return propose_fields(network, job.lines)


def test_the_demo_s_five_regions_are_found_again_from_its_lines(
    van: tuple[Job, LineNetwork], found: FoundFields
) -> None:
    job, _ = van
    assert {spec.name for spec in found.metal()} == {spec.name for spec in job.regions}
    for wanted in job.regions:
        assert _same(found.region(wanted.name).spec, wanted), wanted.name
    assert not found.findings


def test_windows_screen_and_underside_of_the_demo_are_open(found: FoundFields) -> None:
    opened = {f.spec.name: set(f.spec.boundary) for f in found.regions if not f.metal}
    assert opened["window left"] == {"window left"}
    assert opened["window right"] == {"window right"}
    assert opened["screen opening"] == {"screen edge", "screen base"}
    assert opened["underside"] == {"sill left", "sill right", "scuttle front", "rear sill"}
    assert opened["front wing opening"] == {"front wing edge"}


def test_each_region_says_why(found: FoundFields) -> None:
    assert "mirrored for the right" in found.region("front wing").why
    assert "divided where the way" in found.region("scuttle").why
    assert "2 holes" in found.region("body").why
    assert found.region("window left").why == "Bounded by edges, open, for no line lies on it."
    assert found.region("scuttle").corners == 4


def test_what_was_named_before_keeps_its_name(van: tuple[Job, LineNetwork]) -> None:
    job, network = van
    known = [spec.model_copy(update={"name": f"old {spec.name}"}) for spec in job.regions]
    found = propose_fields(network, job.lines, known=known)
    assert {spec.name for spec in found.metal()} == {spec.name for spec in known}


def test_the_hand_opens_names_and_leaves_out(van: tuple[Job, LineNetwork]) -> None:
    job, network = van
    plain = propose_fields(network, job.lines)
    wings = plain.region("front wing")
    choices = [
        FieldChoice(what="open", lines=wings.spec.boundary, at=wings.at),
        FieldChoice(what="name", lines=("rear edge", "rear sill"), at=(2930, 0, 900), name="tail"),
        FieldChoice(what="leave out", lines=("middle section",)),
    ]
    found = propose_fields(network, job.lines, choices)
    opened = [f for f in found.regions if set(f.spec.boundary) == {"front wing edge"}]
    assert [f.metal for f in opened] == [False, False]
    assert sum("by hand" in f.why for f in opened) == 1
    assert any("open by hand" in f.why for f in opened)
    assert found.region("tail").metal
    assert "middle section" not in found.region("body").spec.inner


def test_the_hand_parts_the_body_along_a_line_and_joins_it_again(
    van: tuple[Job, LineNetwork],
) -> None:
    job, network = van
    part = FieldChoice(what="part", lines=("middle section",))
    found = propose_fields(network, job.lines, [part])
    assert len(found.metal()) == 6
    halves = [f for f in found.regions if f.metal and "middle section" in f.spec.boundary]
    assert len(halves) == 2
    assert {h.spec.holes for h in halves} == {(), ("window left", "window right")}
    between = {(line, at) for line, at, beyond in halves[0].shared if beyond == halves[1].spec.name}
    joins = [FieldChoice(what="join", lines=(line,), at=at) for line, at in sorted(between)]
    again = propose_fields(network, job.lines, [part, *joins])
    assert len(again.metal()) == 5


@pytest.mark.parametrize("move", ["shift", "turn", "reverse"])
def test_what_is_found_does_not_hang_on_axes_or_senses(
    move: str, van: tuple[Job, LineNetwork], found: FoundFields
) -> None:
    job, network = van
    moved = []
    for line in network.lines:
        control = line.control
        if move == "shift":
            control = control + np.array([300.0, 0.0, -120.0])
        elif move == "turn":
            c, s = np.cos(0.2), np.sin(0.2)
            control = control @ np.array([[c, 0, -s], [0, 1, 0], [s, 0, c]])
        update = {"control": control}
        if move == "reverse" and not line.closed:
            update = {"control": control[::-1], "knots": 1.0 - line.knots[::-1]}
        moved.append(line.model_copy(update=update))
    again = propose_fields(LineNetwork(lines=tuple(moved), crossings=()), job.lines)
    for spec in found.metal():
        other = again.region(spec.name).spec
        assert other.boundary in _round(spec)
        assert set(other.inner) == set(spec.inner)


# Without marks: what no other line passes bounds


def test_without_marked_edges_lines_that_none_passes_bound_the_vault() -> None:
    network, wanted = tunnel()
    found = propose_fields(network)
    (spec,) = found.metal()
    assert spec.boundary in _round(wanted)
    assert set(spec.inner) == set(wanted.inner)
    assert spec.holes == ("porthole",)
    assert "no other passes" in found.regions[0].why
    assert {f.spec.boundary for f in found.regions if not f.metal} >= {("porthole",)}


def test_one_closed_line_with_lines_on_it_is_a_region() -> None:
    network, wanted = cap()
    (spec,) = propose_fields(network).metal()
    assert spec.boundary == wanted.boundary
    assert set(spec.inner) == set(wanted.inner)
    network, wanted = wing()
    (spec,) = propose_fields(network).metal()
    assert (spec.boundary, spec.side) == (wanted.boundary, "left")


def _straight(start: tuple[float, ...], end: tuple[float, ...]) -> Curve:
    a, b = np.array(start), np.array(end)
    return lambda t: a + (b - a) * t[:, None]


def _plate(gap: float = 0.0) -> dict[str, Curve]:
    """Two panels with a stiffener each, the second line across missing its ends by a gap."""
    return {
        "bottom": _straight((0, 0, 0), (1000, 0, 0)),
        "top": _straight((1000, 400, 0), (0, 400, 0)),
        "left end": _straight((0, 400, 0), (0, 0, 0)),
        "right end": _straight((1000, 0, 0), (1000, 400, 0)),
        "across": _straight((500, gap, 0), (500, 400 - gap, gap)),
        "along": _straight((0, 200, 0), (1000, 200, 0)),
    }


EDGES = tuple(
    LineSpec(name=name, mark="edge") for name in ("bottom", "top", "left end", "right end")
)


@pytest.mark.parametrize("gap", [0.0, 1.0, 1.4])
def test_lines_that_miss_by_up_to_two_millimetres_meet(gap: float) -> None:
    curves = _plate(gap)
    lines = network_of(curves).lines
    network = LineNetwork(lines=lines, crossings=())
    part = FieldChoice(what="part", lines=("across",))
    found = propose_fields(network, EDGES, [part])
    assert len(found.metal()) == 2
    # And the skin takes them as meeting: the line across is followed to its ends.
    (whole,) = propose_fields(network, EDGES).metal()
    region = span_region(network, whole, edge_length=50.0)
    across = next(t for t in region.inner if t.line == "across")
    rim = {int(v) for t in region.boundary for v in t.vertices}
    assert {int(across.vertices[0]), int(across.vertices[-1])} <= rim


def test_lines_that_miss_by_more_do_not_meet() -> None:
    network = LineNetwork(lines=network_of(_plate(3.0)).lines, crossings=())
    part = FieldChoice(what="part", lines=("across",))
    found = propose_fields(network, EDGES, [part])
    assert len(found.metal()) == 1


def test_a_window_whose_sill_is_tape_is_open_and_metal_goes_on_below_it() -> None:
    def arch(t: np.ndarray) -> np.ndarray:
        turn = np.pi * t
        return np.stack([500 - 200 * np.cos(turn), 200 + 150 * np.sin(turn), 0.0 * t], axis=-1)

    network = network_of({**_plate(), "window arch": arch})
    specs = (*EDGES, LineSpec(name="window arch", mark="edge"))
    # The stiffener would run into the window.
    out = FieldChoice(what="leave out", lines=("across",))
    found = propose_fields(network, specs, [out])
    opened = [set(f.spec.boundary) for f in found.regions if not f.metal]
    assert {"window arch", "along"} in opened
    assert any("along" in spec.inner for spec in found.metal())


def test_an_edge_that_ends_inside_a_region_is_a_crease_of_it() -> None:
    curves = {**_plate(), "swage": _straight((0, 100, 0), (400, 100, 0))}
    network = network_of(curves)
    found = propose_fields(network, (*EDGES, LineSpec(name="swage", mark="edge")))
    (spec,) = found.metal()
    assert [crease.line for crease in spec.creases] == ["swage"]
    assert "sharp along swage" in found.regions[0].why


def test_half_a_body_is_built_once_for_the_left() -> None:
    moved = {name: (lambda t, c=curve: c(t) * [1.0, -1.0, 1.0]) for name, curve in _plate().items()}
    network = network_of(moved)
    # The bottom line lies in the centre plane and is only tape.
    found = propose_fields(network, EDGES[1:])
    (spec,) = found.metal()
    assert spec.side == "left"
    assert "bottom" in spec.boundary


def test_two_panels_are_two_regions_and_know_each_other() -> None:
    network, (first, second) = two_panels()
    names = ("bottom", "top", "left end", "right end", "seam", "hole")
    specs = tuple(LineSpec(name=name, mark="edge") for name in names)
    plain = propose_fields(network, specs)
    # Edges all round and no line on them: taken as open, until the hand says metal.
    choices = [
        FieldChoice(what="metal", lines=f.spec.boundary, at=f.at, bare=True)
        for f in plain.regions
        if "seam" in f.spec.boundary
    ]
    found = propose_fields(network, specs, choices)
    assert len(found.metal()) == 2
    one, other = (f for f in found.regions if f.metal)
    assert {b for _, _, b in one.shared if b == other.spec.name} == {other.spec.name}
    for spec in found.metal():
        assert spec.boundary in _round(first) | _round(second)


# Bad input: one sentence each, with its place


def _network(curves: dict[str, Curve], **more: object) -> LineNetwork:
    return LineNetwork(lines=network_of(curves, **more).lines, crossings=())


def test_an_edge_that_stops_short_is_an_open_loop_with_its_place() -> None:
    curves = _plate() | {"top": _straight((1000, 400, 0), (120, 400, 0))}
    found = propose_fields(_network(curves), EDGES)
    (fault,) = [f for f in found.findings if f.where == "top"]
    assert fault.code == "open-loop"
    assert fault.place == pytest.approx((120.0, 400.0, 0.0), abs=0.2)
    assert "120 mm from 'left end'" in fault.message


def test_a_line_traced_twice_is_told_and_left_out() -> None:
    curves = _plate() | {"along again": _straight((30, 200.8, 0.5), (900, 199.5, 0))}
    found = propose_fields(_network(curves), EDGES)
    (fault,) = found.findings
    assert (fault.code, fault.where) == ("doubled-line", "along again")
    assert fault.place[1] == pytest.approx(200.0, abs=2.0)
    (spec,) = found.metal()
    assert "along again" not in spec.inner


def test_a_line_without_length_is_told_with_its_place() -> None:
    curves = _plate() | {"speck": _straight((300, 100, 0), (301, 100, 0))}
    found = propose_fields(_network(curves), EDGES)
    (fault,) = found.findings
    assert (fault.code, fault.where) == ("line-without-length", "speck")
    assert fault.place == pytest.approx((300.0, 100.0, 0.0), abs=0.1)


def test_a_line_that_crosses_itself_is_told_where() -> None:
    def loop(t: np.ndarray) -> np.ndarray:
        turn = 2.0 * np.pi * t
        return np.stack([250 + 150 * np.sin(turn), 100 + 60 * np.sin(2 * turn), 0.0 * t], axis=-1)

    points = loop(np.linspace(0.0, 1.0, 161))
    eight = line_through("eight", points, closed=True)
    lines = (*network_of(_plate()).lines, eight)
    found = propose_fields(LineNetwork(lines=lines, crossings=()), EDGES)
    fault = next(f for f in found.findings if f.where == "eight")
    assert fault.code == "self-crossing-line"
    assert fault.place == pytest.approx((250.0, 100.0, 0.0), abs=2.0)


def test_a_line_that_crosses_the_others_in_the_wrong_place_is_named() -> None:
    # From the near panel's middle to the far one's, under the line across without meeting it.
    def stray(t: np.ndarray) -> np.ndarray:
        x = 250.0 + 500.0 * t
        return np.stack([x, 300.0 + 0.0 * t, -60.0 * np.sin(np.pi * t)], axis=-1)

    curves = _plate() | {
        "near rib": _straight((250, 0, 0), (250, 400, 0)),
        "far rib": _straight((750, 0, 0), (750, 400, 0)),
        "stray": stray,
    }
    found = propose_fields(_network(curves), EDGES)
    (fault,) = found.findings
    assert (fault.code, fault.where) == ("tangled-lines", "stray")
    assert abs(fault.place[1] - 300.0) < 1.0
    (spec,) = found.metal()
    assert "stray" not in spec.inner


def test_no_lines_bound_nothing() -> None:
    with pytest.raises(JobError, match="no lines"):
        propose_fields(LineNetwork(lines=(), crossings=()))
