"""Will they fit?"""

from typing import Any

import numpy as np

from buckwright.geometry.mesh import section_mesh
from buckwright.model.job import Job, Products
from buckwright.model.package import Package, PackageShape
from buckwright.model.people import FitQuestion, Person
from buckwright.model.skin import Skin
from buckwright.people import BODY_SIZES, SPEC_LIMITS
from buckwright.tables.body_sizes import CREWS, SIZE_SOURCE
from buckwright.web.people_edits import ANGLES
from buckwright.web.words import Words, figure, fine, length, rounded

__all__ = ["answer", "detail"]

DRAWN_POINTS = 81


def answer(job: Job, products: Products) -> Words | None:
    """Whether they fit, with the room that is left where it is least."""
    fit = products.people
    if fit is None or not fit.heights:
        return None
    tight = min(fit.heights, key=lambda height: height.spare)
    doubt: Words = [", give or take ", fine(tight.sigma), "."]
    share: Words = [
        " The shoulders of ",
        figure(f"{100 * fit.random_pair:.1f} %"),
        " of random pairs would fit.",
    ]
    if fit.package is not None:
        share = _share_everywhere(fit.package)
    lacking = _lacking(fit.package)
    share = [*lacking, *share]
    if fit.fits:
        verdict = "Across, they fit, with " if lacking else "They fit, with "
        room: Words = [verdict, length(tight.spare), f" to spare at the {tight.name}"]
        return room + doubt + share
    narrow: Words = [f"They do not fit: at the {tight.name} ", length(-tight.spare), " is missing"]
    return [*narrow, *doubt, " Widen the body by ", length(fit.widen_by), ".", *share]


def _lacking(package: Package | None) -> Words:
    """Where somebody lacks room other than across."""
    if package is None:
        return []
    short = [c for c in package.clearances if "'s " in c.name and c.value < c.wanted]
    if not short:
        return []
    worst = max(short, key=lambda c: c.wanted - c.value)
    return [
        f" {worst.name} lack" + ("" if worst.name.endswith(_MANY) else "s") + " ",
        length(worst.wanted - worst.value),
        f", {worst.words}.",
    ]


_MANY = ("feet", "thighs")


def _share_everywhere(package: Package) -> Words:
    least, most = package.pair_bounds
    if f"{100 * least:.0f}" == f"{100 * most:.0f}":
        return [" Of any two people ", figure(f"{100 * most:.0f} %"), " would fit abreast."]
    span = figure(f"{100 * least:.0f} to {100 * most:.0f} %")
    return [" Of any two people ", span, " would fit abreast."]


def detail(job: Job, products: Products) -> dict[str, Any]:
    """The people, the widths at their heights, the layout, and the body's section there."""
    question = job.people
    fit = products.people
    return {
        "people": [] if question is None else [_told(person) for person in question.people],
        "sizes": [{"field": field, "words": words[0]} for field, words in BODY_SIZES.items()],
        "size_source": SIZE_SOURCE,
        "crews": list(CREWS),
        "seat": None if question is None else [question.seat_x, question.seat_z],
        "allowances": None if question is None else question.model_dump(include=_ALLOWANCES),
        "heights": [] if fit is None else [height.model_dump() for height in fit.heights],
        "section": _section(products.skin, None if question is None else question.seat_x),
        "spec": None if question is None else _spec(question),
        "package": None if fit is None or fit.package is None else _package(fit.package),
        "lines": _lines(job, products),
    }


_ALLOWANCES = {"clothing", "between", "door_thickness", "sheet_thickness", "abreast", "finished"}


def _told(person: Person) -> dict[str, Any]:
    sizes = person.model_dump(exclude={"name", "who", "chosen"})
    return {"name": person.name, "who": person.who, "chosen": person.chosen, "sizes": sizes}


def _spec(question: FitQuestion) -> dict[str, Any] | None:
    """Numbers of the package with their words; angles in degrees, the rest in mm."""
    spec = question.package
    if spec is None:
        return None
    numbers = []
    for field, (words, *_) in SPEC_LIMITS.items():
        value = getattr(spec, field)
        turned = field in ANGLES
        if turned and value is not None:
            value = round(float(np.rad2deg(value)), 1)
        numbers.append({"field": field, "words": words, "value": value, "degrees": turned})
    engine = None if spec.engine is None else spec.engine.model_dump()
    return {"driver": spec.driver, "numbers": numbers, "engine": engine}


def _package(package: Package) -> dict[str, Any]:
    told = package.model_dump(exclude={"shapes", "sizes", "posts", "door"})
    told["shapes"] = [_shape(shape) for shape in package.shapes]
    told["used"] = [one.model_dump() for one in package.sizes]
    told["posts"] = [
        {
            "person": one.person,
            "post": one.post,
            "eyes": rounded(one.eyes, 1),
            "outline": rounded(one.outline, 1),
            "hidden": np.rad2deg(one.hidden).round(1).tolist(),
            "both": round(float(np.rad2deg(one.both)), 1),
        }
        for one in package.posts
    ]
    told["sights"] = [
        {**one.model_dump(), "angle": round(float(np.rad2deg(one.angle)), 1)}
        for one in package.sights
    ]
    door = package.door
    told["door"] = door and {
        **door.model_dump(exclude={"glass", "tumblehome"}),
        "tumblehome": round(float(np.rad2deg(door.tumblehome)), 1),
        "glass": rounded(door.glass, 1),
    }
    return told


def _shape(shape: PackageShape) -> dict[str, Any]:
    return {
        "name": shape.name,
        "kind": shape.kind,
        "side": rounded(shape.side, 1),
        "plan": rounded(shape.plan, 1),
        "rear": rounded(shape.rear, 1),
        "vertices": rounded(shape.vertices, 1),
        "triangles": shape.triangles.tolist(),
    }


def _lines(job: Job, products: Products) -> list[Any]:
    """The body's lines, (n, 3) each, closed ones joined up."""
    if products.lines is None or job.people is None or job.people.package is None:
        return []
    paired = {spec.name for spec in job.lines if spec.mirror}
    drawn = []
    for one in products.lines.network.lines:
        points = one.points(DRAWN_POINTS)
        drawn.append(rounded(points, 1))
        if points[:, 1].max() < 0.0 and one.name not in paired:
            # It stands for both sides.
            drawn.append(rounded(points * np.array([1.0, -1.0, 1.0]), 1))
    return drawn


def _section(skin: Skin | None, station: float | None) -> list[Any]:
    """Polylines (y, z) where the plane of the shoulders cuts the skin."""
    if skin is None or station is None:
        return []
    origin, normal = np.array([station, 0.0, 0.0]), np.array([1.0, 0.0, 0.0])
    found = []
    for region in skin.regions:
        for points, _ in section_mesh(
            region.vertices, region.triangles, origin=origin, normal=normal
        ):
            found.append(rounded(points[:, 1:], 1))
    return found
