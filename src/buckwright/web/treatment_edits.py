"""Edits of the skin's treatments: trims, edges, beads, louvres, each tried first.

One that is asked for already is changed in its place.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, get_args

from buckwright.errors import JobError
from buckwright.model.louvres import LouvreSpec
from buckwright.model.panels import EdgeSpec, EdgeStation, Treatment
from buckwright.model.skin import Skin
from buckwright.model.treatments import BeadSpec, EdgeTreatment, TrimSpec
from buckwright.skin.beads import make_bead
from buckwright.skin.edge_strips import edge_strips
from buckwright.skin.louvres import make_louvres
from buckwright.skin.trimming import trim_skin
from buckwright.units import parse_length
from buckwright.web.desk import View
from buckwright.web.typed import Edited, Typed, chosen, in_words, typed_count, typed_figure

__all__ = ["TREATMENT_EDITS"]

LONGEST_NAME = 40
FARTHEST = 20_000.0
MOST_POINTS = 60
MOST_STATIONS = 20
WAYS = {"the nearest place": None, "across the car": (0.0, 1.0, 0.0), "straight down": (0.0, 0, 1),
        "along the car": (1.0, 0.0, 0.0)}  # fmt: skip
"""How a line may be projected on a region."""
WORDS = {"trims": "trim", "beads": "bead", "louvres": "louvres"}
FLAT, DEEPEST, WIDEST = 200.0, 60.0, 300.0


def _trim(view: View, typed: Typed) -> Edited:
    skin = _skin(view)
    trim = _asked_trim(view, typed)
    lines = view.products.lines
    done = trim_skin(skin, trim, None if lines is None else lines.network).trims[-1]
    words = f"'{trim.region}' trimmed along '{trim.name}', {done.area_away / 1e6:.3f} m² taken away"
    return view.job.model_copy(update={"trims": (*view.job.trims, trim)}), words


def _changed_trim(view: View, typed: Typed) -> Edited:
    """A trim of a skin that lost a piece to it already: tried when the skin is worked out again.

    Its region and its line are looked for, so that a slip of the hand is told at once.
    """
    trim, skin = _asked_trim(view, typed), _skin(view)
    regions = [region.name for region in skin.regions]
    if trim.region not in regions:
        raise JobError(
            f"Trim '{trim.name}' names the region '{trim.region}', which does not exist.",
            f"There are {', '.join(dict.fromkeys(regions))}.",
        )
    lines = view.products.lines
    known = [meeting.name for meeting in skin.meetings]
    if trim.by == "line":
        known = [] if lines is None else [line.name for line in lines.network.lines]
    if trim.by in ("line", "meeting") and trim.line not in known:
        raise JobError(f"There is no '{trim.line}' to trim along.", "Choose one that there is.")
    words = f"'{trim.region}' trimmed along '{trim.name}' otherwise"
    return view.job.model_copy(update={"trims": (*view.job.trims, trim)}), words


def _asked_trim(view: View, typed: Typed) -> TrimSpec:
    by = chosen(typed, "by", ("line", "drawn", "plane", "meeting"))
    name = _new_name(typed, [t.name for t in view.job.trims], "trim")
    asked: dict[str, Any] = {"name": name, "region": str(typed.get("region", "")), "by": by}
    if by in ("line", "meeting"):
        asked["line"] = _named(typed, "line", "Choose the line that it runs along.")
    elif by == "drawn":
        closed = bool(typed.get("closed"))
        asked["closed"] = closed
        asked["through"] = _places(typed, "through", least=3 if closed else 2)
    else:
        asked["axis"] = chosen(typed, "axis", ("x", "y", "z"))
        asked["value"] = _length(typed, "value", "where the plane lies", -FARTHEST, FARTHEST)
    if by != "plane":
        asked["along"] = WAYS[chosen(typed, "way", tuple(WAYS))]
    asked["away"] = _places(typed, "away", least=1)[0]
    return TrimSpec.model_validate(asked)


def _treat(view: View, typed: Typed) -> Edited:
    skin, job = _skin(view), view.job
    region, along = str(typed.get("region", "")), _named(typed, "line", "Choose an edge.")
    kind = chosen(typed, "treatment", get_args(Treatment))
    angle = _angle(typed.get("angle") or "90")
    edge = EdgeSpec(
        along=along,
        treatment=kind,
        width=_length(typed, "width", "how wide it is", 0.0, FLAT, usual=0.0),
        wire=_length(typed, "wire", "the wire", 0.0, 25.0, usual=0.0),
        angle_deg=angle,
        way="out" if typed.get("way") == "out" else "in",
        stations=_stations(typed, angle) if kind == "flange" else (),
        between="smooth" if typed.get("between") == "smooth" else "straight",
    )
    treatment = EdgeTreatment(region=region, edge=edge)
    _try_edge(skin, treatment)
    others = tuple(t for t in job.edge_treatments if not _same_edge(t, region, along))
    words = f"'{along}' on '{region}': {kind}"
    return job.model_copy(update={"edge_treatments": (*others, treatment)}), words


def _angle(text: object) -> float:
    return typed_figure({"text": text}, "the angle", "°", 1.0, 175.0)


def _stations(typed: Typed, angle: float) -> tuple[EdgeStation, ...]:
    """Sizes along an edge typed as `0 %: 12 mm / 100 %: 30 mm; 60`, the angle left out or not."""
    found: list[EdgeStation] = []
    for part in filter(str.strip, str(typed.get("stations", "")).split("/")):
        at, colon, sizes = part.partition(":")
        width, _, turned = sizes.partition(";")
        if not colon or len(found) == MOST_STATIONS:
            raise JobError(
                f"'{part.strip()}' tells no width along the edge.",
                f"Type it like 0 %: 12 mm / 100 %: 30 mm, {MOST_STATIONS} places at most.",
            )
        share = typed_figure({"text": at}, "how far along the edge", "%", 0.0, 100.0) / 100.0
        if found and share <= found[-1].at:
            raise JobError(
                f"'{part.strip()}' lies no farther along the edge than the one before.",
                "Type the places in order, each once.",
            )
        wide = _length({"width": width}, "width", "how wide it is", 0.5, FLAT)
        turn = _angle(turned) if turned.strip() else angle
        found.append(EdgeStation(at=share, width=wide, angle_deg=turn))
    return tuple(found)


def _try_edge(skin: Skin, treatment: EdgeTreatment) -> None:
    """Raises JobError for a region or an edge that does not exist, turned or not."""
    turned = treatment.edge.model_copy(update={"treatment": "flange"})
    plain = treatment.edge.treatment in ("trim", "weld")
    asked = treatment.model_copy(update={"edge": turned}) if plain else treatment
    edge_strips(skin, (asked,))


def _same_edge(treatment: EdgeTreatment, region: str, along: str) -> bool:
    return (treatment.region, treatment.edge.along) == (region, along)


def _bead(view: View, typed: Typed) -> Edited:
    skin = _skin(view)
    name = _new_name(typed, [b.name for b in view.job.beads], "bead")
    line = str(typed.get("line", "")).strip()
    bead = BeadSpec(
        name=name,
        region=str(typed.get("region", "")),
        line=line,
        through=() if line else _places(typed, "through", least=2),
        width=_length(typed, "width", "how wide a bead is", 2.0, WIDEST),
        depth=_length(typed, "depth", "how deep a bead is", 0.2, DEEPEST),
        radius=_length(typed, "radius", "a bead's radius", 0.5, WIDEST),
        flat=_length(typed, "flat", "a flat top", 0.0, WIDEST, usual=0.0),
        way="in" if typed.get("way") == "in" else "out",
        run_out=_length(typed, "run_out", "a run-out", 0.0, 1000.0, usual=40.0),
        setback=_length(typed, "setback", "a setback", 0.0, 5000.0, usual=30.0),
    )
    make_bead(skin, bead)
    words = f"bead '{name}' on '{bead.region}', {in_words(bead.width)} x {in_words(bead.depth)}"
    return view.job.model_copy(update={"beads": (*view.job.beads, bead)}), words


def _louvres(view: View, typed: Typed) -> Edited:
    skin = _skin(view)
    name = _new_name(typed, [one.name for one in view.job.louvres], "field of louvres")
    line = str(typed.get("between", "")).strip()
    spec = LouvreSpec(
        name=name,
        region=str(typed.get("region", "")),
        at=_places(typed, "at", least=1)[0],
        along=chosen(typed, "along", ("x", "y", "z")),
        rows=typed_count(typed, "rows", "a number of rows", 1, 100),
        columns=typed_count(typed, "columns", "a number of columns", 1, 100),
        length=_length(typed, "length", "the length of a louvre", 10.0, 1000.0),
        width=_length(typed, "width", "the width of a louvre", 3.0, WIDEST),
        height=_length(typed, "height", "the height of a louvre", 1.0, DEEPEST),
        row_pitch=_length(typed, "row_pitch", "the pitch of rows", 0.0, 1000.0, usual=0.0),
        column_pitch=_length(typed, "column_pitch", "the pitch of columns", 0.0, 2e3, usual=0.0),
        between=(line,) if line else (),
        opens="minus" if typed.get("opens") == "minus" else "plus",
        slits="in the flat" if typed.get("slits") == "in the flat" else "on the formed panel",
    )
    make_louvres(skin, spec)
    words = f"{spec.rows} x {spec.columns} louvres '{name}' on '{spec.region}'"
    return view.job.model_copy(update={"louvres": (*view.job.louvres, spec)}), words


def _drop(view: View, typed: Typed) -> Edited:
    """A trim, an edge's treatment or a bead taken back, by its place in the job's list."""
    field, place, kept = _placed(view, typed)
    gone = kept.pop(place)
    if isinstance(gone, EdgeTreatment):
        words = f"'{gone.edge.along}' on '{gone.region}' left as it is"
    else:
        words = f"{WORDS[field]} '{gone.name}' taken back"
    return view.job.model_copy(update={field: tuple(kept)}), words


def _change(view: View, typed: Typed) -> Edited:
    """One that is asked for already asked for otherwise, in its place in the job's list."""
    field, place, kept = _placed(view, typed)
    was = kept.pop(place)
    without = replace(view, job=view.job.model_copy(update={field: tuple(kept)}))
    ask = {"trims": _changed_trim, "edge_treatments": _treat, "beads": _bead, "louvres": _louvres}
    job, words = ask[field](without, typed)
    *others, changed = getattr(job, field)
    if was.model_dump() == changed.model_dump():
        raise JobError("Nothing is changed.", "Type another size first.")
    others.insert(place, changed)
    return job.model_copy(update={field: tuple(others)}), f"changed: {words}"


def _placed(view: View, typed: Typed) -> tuple[str, int, list[Any]]:
    """The job's list that is meant, the place in it, and what it holds."""
    field = chosen(typed, "field", ("trims", "edge_treatments", "beads", "louvres"))
    held = list(getattr(view.job, field))
    place = typed.get("place")
    if isinstance(place, bool) or not isinstance(place, int) or not 0 <= place < len(held):
        raise JobError("There is no such treatment.", "Reload the page and try again.")
    return field, place, held


def _skin(view: View) -> Skin:
    skin = view.products.skin
    if skin is None:
        raise JobError("The skin is not worked out yet.", "Work it out first.")
    return skin


def _named(typed: Typed, key: str, remedy: str) -> str:
    text = str(typed.get(key, "")).strip()
    if not text:
        raise JobError("No line is chosen.", remedy)
    return text


def _new_name(typed: Typed, known: list[str], what: str) -> str:
    name = str(typed.get("name", "")).strip()
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise JobError(
            f"'{name[:LONGEST_NAME]}' cannot name a {what}.",
            f"Type a name of {LONGEST_NAME} letters at most.",
        )
    if name in known:
        raise JobError(f"There is a {what} '{name}' already.", "Give it another name.")
    return name


def _length(
    typed: Typed, key: str, what: str, low: float, high: float, *, usual: float | None = None
) -> float:
    text = str(typed.get(key, "")).strip()
    if not text and usual is not None:
        return usual
    value = parse_length(text)
    if not low <= value <= high:
        raise JobError(
            f"{in_words(value)} cannot be {what}.",
            f"Type something from {in_words(low)} to {in_words(high)}.",
        )
    return value


def _places(typed: Typed, key: str, *, least: int) -> tuple[tuple[float, float, float], ...]:
    """Places typed as `x; y; z`, several with `/` between them."""
    text = str(typed.get(key, ""))
    found = []
    for part in filter(str.strip, text.split("/")):
        numbers = [parse_length(number) for number in part.split(";")]
        if len(numbers) != 3 or max(map(abs, numbers)) > FARTHEST:
            raise JobError(
                f"'{part.strip()}' is no place.",
                "Type it as x; y; z like 1200 mm; -300 mm; 900 mm.",
            )
        found.append((numbers[0], numbers[1], numbers[2]))
    if not least <= len(found) <= MOST_POINTS:
        raise JobError(
            f"{len(found)} places are given where {least} are needed at least.",
            "Click the skin and take the place over, or type x; y; z with / between places.",
        )
    return tuple(found)


TREATMENT_EDITS: dict[str, Callable[[View, Typed], Edited]] = {
    "add trim": _trim,
    "treat edge": _treat,
    "add bead": _bead,
    "add louvres": _louvres,
    "change treatment": _change,
    "drop treatment": _drop,
}
"""By the name that the page sends; they need the skin."""
