"""People and all that stands around them: seats, steering, wheels, engine, sight and room."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckwright.geometry.circle import fit_circle
from buckwright.geometry.mesh import MeshLocator
from buckwright.model.lines import LineNetwork
from buckwright.model.package import Box, Clearance, Package, PackageSpec, SweptWheel
from buckwright.model.people import FitAnswer, FitQuestion, HeightFit
from buckwright.model.skin import Skin
from buckwright.people.budget import pair_bounds, pair_shares, width_budget
from buckwright.people.cautions import PEOPLE_CAUTIONS
from buckwright.people.door import look_at_door
from buckwright.people.doubts import never_fits, package_doubts
from buckwright.people.knees import knee_clearances
from buckwright.people.metal import wheel_clearance
from buckwright.people.rooms import Lining, cab_rooms, hip_room, leg_clearances
from buckwright.people.seating import Seated, seat_people
from buckwright.people.shapes import (
    engine_shape,
    person_shapes,
    seat_shapes,
    steering_shapes,
    wheel_shapes,
)
from buckwright.people.sights import sights_of, view_past_posts
from buckwright.people.spec import check_spec
from buckwright.people.steering import place_steering
from buckwright.people.stretches import ToReference, propose_stretches
from buckwright.people.swept import clearance_to_swept, make_swept

__all__ = ["Around", "complete_fit", "lay_out_package"]

Array = NDArray[np.float64]

OUTSIDE = 0.15
"""Of the tyre's width: how far it bulges past the rim's outer flange, where the rim line is."""


@dataclass(frozen=True, slots=True)
class Around:
    """What the layout is made in: lines, skin, and which rims steer and which do not."""

    network: LineNetwork
    skin: Skin
    front_rims: tuple[str, ...] = ()
    rear_rims: tuple[str, ...] = ()


def lay_out_package(
    question: FitQuestion,
    spec: PackageSpec,
    around: Around,
    heights: tuple[HeightFit, ...],
    *,
    to_reference: ToReference = lambda axis, value: value,
) -> Package:
    """Everything in its place, with the room between things, what is seen, and what is lacking.

    `heights` are the widths at shoulders and elbows; `to_reference` gives the place on the
    reference of a coordinate of the departed body, on which stretch zones are stated.
    Lines that the job has not are left out with what hangs on them.
    """
    skin = around.skin
    floor = _floor(skin) if spec.floor is None else spec.floor
    people = seat_people(question, spec, floor=floor)
    driver = people[0] if spec.driver == "left" else people[-1]
    steering = place_steering(driver, spec)
    lining = Lining(skin, depth=question.sheet_thickness + spec.roof_lining)
    hips = hip_room(question, skin, driver)
    wheels = _wheels(spec, around)
    clearances = (
        *_heads(people, lining, spec),
        *knee_clearances(people, spec, Lining(skin, depth=question.sheet_thickness)),
        *leg_clearances(driver, people, spec, steering, _front(skin, spec)),
        *(wheel_clearance(wheel, skin, wanted=spec.tyre_clearance) for wheel in wheels),
        *_engine(spec, skin, wheels),
    )
    shapes = [shape for one in people for shape in person_shapes(one)]
    shapes += [shape for one in people for shape in seat_shapes(one, spec, question.clothing)]
    shapes += [*steering_shapes(driver, steering)]
    shapes += [shape for wheel in wheels for shape in wheel_shapes(wheel)]
    shapes += [] if spec.engine is None else [engine_shape(spec.engine)]
    pairs = pair_shares(question, heights, hips)
    return Package(
        sizes=tuple(used for one in people for used in one.body.used),
        pairs=pairs,
        pair_bounds=pair_bounds(pairs),
        budget=width_budget(question),
        rooms=cab_rooms(heights, driver, lining, steering, hips),
        clearances=clearances,
        sights=tuple(s for one in people for s in sights_of(one, around.network, skin, spec)),
        posts=tuple(p for one in people for p in view_past_posts(one, around.network, spec)),
        door=look_at_door(question, around.network, skin, spec),
        wheels=wheels,
        shapes=tuple(shapes),
        stretches=propose_stretches(question, heights, clearances, people, to_reference),
        cautions=PEOPLE_CAUTIONS,
    )


def _heads(people: tuple[Seated, ...], lining: Lining, spec: PackageSpec) -> list[Clearance]:
    found = [lining.head(one) for one in people]
    wanted = {"wanted": spec.head_room}
    return [head.model_copy(update=wanted) for head in found if head is not None]


def _wheels(spec: PackageSpec, around: Around) -> tuple[SweptWheel, ...]:
    """Each rim's wheel, and its twin on the other side where that has no rim of its own."""
    every = (*around.front_rims, *around.rear_rims)
    found = []
    for line in around.network.lines:
        if line.name not in every or not line.closed:
            continue
        centre = fit_circle(line.points(181)[:-1])[0]
        across = abs(float(centre[1])) + spec.tyre_width * (0.5 * OUTSIDE - 0.5)
        side = -1.0 if centre[1] < 0.0 else 1.0
        steers = line.name in around.front_rims
        name = line.name.removesuffix(" left").removesuffix(" right").replace(" rim", " wheel")
        twin = _other_side(line.name) in every
        for sign in (side,) if twin else (side, -side):
            found.append(
                make_swept(
                    f"{name} {'left' if sign < 0.0 else 'right'}",
                    np.array([centre[0], sign * across, centre[2]]),
                    radius=spec.tyre_radius or float(centre[2]),
                    width=spec.tyre_width,
                    lock=spec.lock if steers else 0.0,
                    kingpin=spec.kingpin if steers else 0.0,
                    bump=spec.bump,
                    rebound=spec.rebound,
                )
            )
    return tuple(found)


def _other_side(name: str) -> str:
    for here, there in ((" left", " right"), (" right", " left")):
        if name.endswith(here):
            return name.removesuffix(here) + there
    return ""


def _engine(spec: PackageSpec, skin: Skin, wheels: tuple[SweptWheel, ...]) -> list[Clearance]:
    """From the engine's box to the metal and to the swept wheels."""
    if spec.engine is None:
        return []
    grid = _box_faces(spec.engine)
    found = []
    away = [abs(MeshLocator(r.vertices, r.triangles).closest(grid)[0]) for r in skin.regions]
    if away:
        found.append(_nearest("engine box", np.min(away, axis=0), grid, spec, "to the metal"))
    for wheel in wheels:
        if wheel.lock > 0.0:
            away_from = clearance_to_swept(wheel, grid)
            words = f"to the {wheel.name} on its lock"
            found.append(_nearest(f"engine box and {wheel.name}", away_from, grid, spec, words))
    return found


def _nearest(name: str, away: Array, grid: Array, spec: PackageSpec, words: str) -> Clearance:
    place = int(np.argmin(away))
    x, y, z = (float(value) for value in grid[place])
    return Clearance(
        name=name,
        value=float(away[place]),
        wanted=spec.engine_clearance,
        at=(x, y, z),
        words=f"from the engine box {words}",
    )


def _box_faces(box: Box) -> Array:
    """(n, 3) points over the faces of the box, 50 mm apart at most, corners included."""
    low, high = np.array(box.low), np.array(box.high)
    ticks = [np.linspace(a, b, 2 + int((b - a) / 50.0)) for a, b in zip(low, high, strict=True)]
    grid = np.stack(np.meshgrid(*ticks, indexing="ij"), axis=-1).reshape(-1, 3)
    return np.asarray(grid[np.any((grid == low) | (grid == high), axis=1)])


def _floor(skin: Skin) -> float:
    return min(float(region.vertices[:, 2].min()) for region in skin.regions)


def _front(skin: Skin, spec: PackageSpec) -> tuple[float, float, str]:
    """Station that the toes must stay behind, the room wanted there, and what stands there."""
    whole = [r for r in skin.regions if r.side == "whole"] or list(skin.regions)
    body = min(float(region.vertices[:, 0].min()) for region in whole)
    if spec.engine is not None and spec.engine.high[0] + spec.engine_clearance > body:
        return spec.engine.high[0], spec.engine_clearance, "engine box"
    return body, 0.0, "front of the body"


def complete_fit(
    answer: FitAnswer,
    question: FitQuestion,
    around: Around,
    *,
    to_reference: ToReference = lambda axis, value: value,
) -> FitAnswer:
    """The answer with the layout of people and package, and the doubts about that.

    As it is where the question asks for no package. Raises JobError where a number of the
    package cannot be.
    """
    spec = question.package
    if spec is None:
        return answer
    check_spec(spec)
    package = lay_out_package(question, spec, around, answer.heights, to_reference=to_reference)
    lines = frozenset(line.name for line in around.network.lines)
    never = never_fits(answer, package)
    doubts = (*(() if never is None else (never,)), *package_doubts(package, spec, lines))
    return answer.model_copy(update={"package": package, "findings": (*answer.findings, *doubts)})
