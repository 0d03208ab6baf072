"""The whole buck from what the job asks of it."""

from collections.abc import Sequence

from buckwright.buck.bending import bend_wires, doubts_about_bends
from buckwright.buck.boards import make_boards
from buckwright.buck.doubts import doubts_about_frame, doubts_about_wires
from buckwright.buck.frame_stock import frame_stock
from buckwright.buck.growing import changes_of, names_to_make
from buckwright.buck.inner_frame import build_frame
from buckwright.buck.openings import doubts_about_places, doubts_about_splices
from buckwright.buck.proposing import propose_from
from buckwright.buck.spacing import course_of
from buckwright.buck.splices import closed_at_good_places, rod_pieces
from buckwright.buck.stock import plan_cuts
from buckwright.buck.tacks import find_tacks
from buckwright.buck.weight import centre_of_gravity
from buckwright.buck.wheels import find_wheels
from buckwright.buck.wires import Ground, lay_rods, paths_of_wires, wire_of
from buckwright.errors import JobError
from buckwright.model.buck import Buck, BuckSpec, BuiltWire, Piece, Remnant
from buckwright.model.lines import LineNetwork
from buckwright.model.people import FitQuestion
from buckwright.model.skin import Skin

__all__ = ["make_buck"]


def make_buck(
    spec: BuckSpec,
    network: LineNetwork,
    skin: Skin,
    *,
    built: Sequence[BuiltWire] = (),
    people: FitQuestion | None = None,
    rims: Sequence[str] = (),
    remnants: Sequence[Remnant] = (),
) -> Buck:
    """Wires, tacks, inner frame, posts and what to cut them from; boards where asked for.

    Every wire is set in from the skin's outside along the true normal by the sheet, half a rod
    and its layer, in the corner where two regions meet at a crease. Wires that cross lie in
    different layers or are cut and butted, wires that end on another are cut back to it; left
    regions are mirrored. Wires that stand (`built`) keep their layers, and each is held against
    what it should be. A frame is made if `spec.frame_x` spans a length: the
    largest box clear of the inner face of the skin, the wires, the `people` and the wheels, whose
    rims are the closed lines named in `rims`. Rod for wires that stand is not cut again; bars of
    the rack (`remnants`) are used before new ones.

    Raises JobError for a wire that cannot be placed, a rod or tube that cannot be, and a frame
    for which there is no room. Cost: about a second for 30 wires on 20,000 vertices.
    """
    _refuse_nonsense(spec)
    ground = Ground.under(skin, spec)
    paths, twins = paths_of_wires(spec.wires, network, ground)
    courses = [course_of(path) for path in paths if path.side != "right"]
    proposals = propose_from(network, ground, spec, courses)
    rods, plan = lay_rods(spec, paths, twins, built)
    rods, tacks = closed_at_good_places(
        rods,
        find_tacks(rods, diameter=spec.rod_diameter),
        sheet=spec.sheet_thickness,
        diameter=spec.rod_diameter,
    )
    wires = tuple(wire_of(rod, spec, tacks) for rod in rods)
    changes = changes_of(built, wires, tolerance=spec.built_tolerance) if built else ()
    wheels, doubts_about_wheels = find_wheels(spec, network, rims)
    built_frame = build_frame(spec, skin, rods, wires, tacks, wheels, people)
    members, posts = built_frame.members, built_frame.posts
    wires = bend_wires(spec, wires, tacks, posts)
    to_make = names_to_make(wires, changes)
    rod_plan = plan_cuts(
        [piece for wire in wires if wire.name in to_make for piece in rod_pieces(wire)]
        + [Piece(name=p.name, length=p.cut_length) for p in posts],
        bar_lengths=spec.bar_lengths,
        kerf=spec.kerf,
        stock=f"{spec.rod_diameter:g} mm round rod",
        remnants=remnants,
        useful=spec.useful_remnant,
    )
    tube_plan = plan_cuts(
        [Piece(name=m.name, length=m.cut_length) for m in members],
        bar_lengths=spec.tube_lengths,
        kerf=spec.kerf,
        stock=frame_stock(spec).words,
        remnants=remnants,
        useful=spec.useful_remnant,
    )
    boards = None
    if spec.boards is not None:
        boards = make_boards(spec.boards, skin, sheet=spec.sheet_thickness, wheels=wheels)
    return Buck(
        wires=wires,
        tacks=tacks,
        members=members,
        posts=posts,
        rod_plan=rod_plan,
        tube_plan=tube_plan,
        mass=sum(w.mass for w in wires) + sum(m.mass for m in members) + sum(p.mass for p in posts),
        frame_clearance=built_frame.clearance,
        frame=built_frame.frame,
        centre_of_gravity=centre_of_gravity(wires, members, posts),
        findings=(
            *doubts_about_wires(spec, paths, rods, plan, tacks, wires),
            *doubts_about_places(spec, ground, paths, rods),
            *doubts_about_splices(wires, spec),
            *doubts_about_bends(wires),
            *rod_plan.findings,
            *built_frame.findings,
            *(doubts_about_wheels if members else ()),
            *doubts_about_frame(wires, members, posts),
            *tube_plan.findings,
            *(boards.findings if boards else ()),
        ),
        bays=proposals.bays,
        proposed=proposals.proposed,
        changes=changes,
        to_make=to_make,
        boards=boards,
    )


def _refuse_nonsense(spec: BuckSpec) -> None:
    if not spec.wires:
        raise JobError("The buck has no wires.", "Name at least one line or section to follow.")
    if spec.rod_diameter <= 0.0 or spec.rod_yield <= 0.0:
        raise JobError(
            f"A rod of {spec.rod_diameter:g} mm with a yield of {spec.rod_yield:g} MPa cannot be.",
            "Give the diameter and the yield of the rod you buy.",
        )
    if spec.sheet_thickness < 0.0 or spec.end_allowance < 0.0:
        raise JobError(
            "Sheet thickness and end allowance cannot be less than 0.", "Give them in mm."
        )
    if not 0.0 < 2.0 * spec.frame_wall < spec.frame_section:
        raise JobError(
            f"A tube of {spec.frame_section:g} mm has no wall of {spec.frame_wall:g} mm.",
            "Give the section and the wall of the tube you buy.",
        )
