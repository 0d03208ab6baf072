"""Decisions about panels that can be changed on the page; see `edits`.

Most take the job and what was typed; those in `SEAM_EDITS` need the skin and the studies of seams.
"""

from collections.abc import Callable
from typing import Any, get_args

from buckwright.errors import JobError
from buckwright.flow.dividing import divide_panel, drop_seam, seam_names
from buckwright.model.job import Job, Products
from buckwright.model.panels import Aim, EdgeSpec, Grain, PanelSpec, SeamSpec, Treatment
from buckwright.model.skin import Skin
from buckwright.panels import accept
from buckwright.units import format_length, parse_length
from buckwright.web.desk import View
from buckwright.web.typed import Edited, Typed

__all__ = ["PANEL_EDITS", "SEAM_EDITS"]

_RELOAD = "Reload the page and try again."
_MOST = 200.0
"""mm, widest allowance, flange or hem that is taken for meant."""
_MOST_WIRE = 25.0
_MOST_POINTS = 60


def _panel(job: Job, typed: Typed) -> PanelSpec:
    name = typed.get("panel")
    for spec in job.panels:
        if spec.name == name:
            return spec
    raise JobError(f"There is no panel '{name}'.", _RELOAD)


def _replaced(job: Job, spec: PanelSpec, **changes: Any) -> Job:
    panels = tuple(
        spec.model_copy(update=changes) if one.name == spec.name else one for one in job.panels
    )
    return job.model_copy(update={"panels": panels})


def _one_of(text: object, known: tuple[str, ...], what: str) -> str:
    if text not in known:
        raise JobError(f"'{text}' is no {what}.", f"There are {', '.join(known)}.")
    return str(text)


def _length(typed: Typed, key: str, most: float, what: str, least: float = 0.0) -> float:
    """A typed length; an empty one is 0, which takes the handbook's usual figure."""
    text = str(typed.get(key, "")).strip()
    length = parse_length(text) if text else 0.0
    if not least <= length <= most:
        raise JobError(
            f"The {what} must lie between {format_length(least, system='mm')} and "
            f"{format_length(most, system='mm')}.",
            "Type it with its unit, like 12 mm or 1/2 in.",
        )
    return length


def _set_aim(job: Job, typed: Typed) -> Edited:
    spec = _panel(job, typed)
    aim = _one_of(typed.get("aim"), get_args(Aim), "aim")
    return _replaced(job, spec, aim=aim), f"panel '{spec.name}': aim is now {aim}"


def _set_grain(job: Job, typed: Typed) -> Edited:
    spec = _panel(job, typed)
    grain = _one_of(typed.get("grain"), get_args(Grain), "grain")
    return _replaced(job, spec, grain=grain), f"panel '{spec.name}': grain is now {grain}"


def _set_allowance(job: Job, typed: Typed) -> Edited:
    spec = _panel(job, typed)
    width = _length(typed, "length", _MOST, "allowance")
    words = f"panel '{spec.name}': {format_length(width, system='mm')} left on for trimming"
    return _replaced(job, spec, trim_allowance=width), words


def _set_both_sides(job: Job, typed: Typed) -> Edited:
    spec = _panel(job, typed)
    both = bool(typed.get("on"))
    words = f"panel '{spec.name}' made {'for both sides' if both else 'once'}"
    return _replaced(job, spec, both_sides=both), words


def _set_edge(job: Job, typed: Typed) -> Edited:
    """What becomes of one edge, or, with no treatment, what the panel says for all the rest."""
    spec, along = _panel(job, typed), str(typed.get("along", ""))
    others = tuple(edge for edge in spec.edges if edge.along != along)
    where = f"panel '{spec.name}', edge '{along}'"
    if not typed.get("treatment"):
        return _replaced(job, spec, edges=others), f"{where}: as the panel's other edges"
    made = _edge(along, typed)
    return _replaced(job, spec, edges=(*others, made)), f"{where}: {made.treatment}"


def _edge(along: str, typed: Typed) -> EdgeSpec:
    treatment = _one_of(typed.get("treatment"), get_args(Treatment), "way to treat an edge")
    angle = _angle(typed)
    return EdgeSpec.model_validate(
        {
            "along": along,
            "treatment": treatment,
            "width": _length(typed, "width", _MOST, "width"),
            "wire": _length(typed, "wire", _MOST_WIRE, "wire"),
            "radius": _length(typed, "radius", _MOST, "radius"),
            "angle_deg": angle,
            "way": _one_of(typed.get("way", "in"), ("in", "out"), "way to turn it"),
        }
    )


def _angle(typed: Typed) -> float:
    """Degrees that a flange is turned; nothing typed is square."""
    try:
        angle = float(str(typed.get("angle") or 90.0).replace(",", "."))
    except ValueError:
        angle = 0.0
    if not 0.0 < angle <= 180.0:
        raise JobError("A flange is turned by up to 180 degrees.", "Type its angle, like 90.")
    return angle


def _add_panel(job: Job, typed: Typed) -> Edited:
    region = str(typed.get("region", ""))
    if region not in {one.name for one in job.regions}:
        raise JobError(f"There is no region '{region}'.", _RELOAD)
    if any(spec.region == region for spec in job.panels):
        raise JobError(f"'{region}' has its panels already.", "Divide one of them with a seam.")
    panel = PanelSpec(name=region, region=region)
    return job.model_copy(update={"panels": (*job.panels, panel)}), f"panel '{region}' added"


def _drop_panel(job: Job, typed: Typed) -> Edited:
    spec = _panel(job, typed)
    panels = tuple(one for one in job.panels if one.name != spec.name)
    named = {name for one in panels if one.region == spec.region for name in seam_names(one)}
    seams = tuple(s for s in job.seams if s.region != spec.region or s.name in named)
    new = job.model_copy(update={"panels": panels, "seams": seams})
    return new, f"panel '{spec.name}' dropped"


def _drop_seam(job: Job, typed: Typed) -> Edited:
    name, region = str(typed.get("seam", "")), str(typed.get("region", ""))
    return drop_seam(job, name, region), f"seam '{name}' of '{region}' dropped"


def _add_seam(view: View, typed: Typed) -> Edited:
    spec, seam = _panel(view.job, typed), _seam(view.job, typed)
    words = f"seam '{seam.name}' parts panel '{spec.name}'"
    return divide_panel(view.job, _skin(view.products), spec.name, seam), words


def _seam(job: Job, typed: Typed) -> SeamSpec:
    region = _panel(job, typed).region
    line, through = str(typed.get("line", "")), typed.get("through", ())
    name = str(typed.get("name", "")).strip() or _free_name(job, region)
    if line:
        return SeamSpec(name=name, region=region, line=line)
    if not isinstance(through, list) or not 2 <= len(through) <= _MOST_POINTS:
        raise JobError(
            f"A drawn seam needs 2 to {_MOST_POINTS} points.",
            "Click where it begins, where it turns, and where it ends.",
        )
    points = tuple((float(x), float(y), float(z)) for x, y, z in through)
    return SeamSpec(name=name, region=region, through=points)


def _free_name(job: Job, region: str) -> str:
    taken = {seam.name for seam in job.seams}
    count = 1
    while f"{region} seam {count}" in taken:
        count += 1
    return f"{region} seam {count}"


def _skin(products: Products) -> Skin:
    if products.skin is None:
        raise JobError("The job has no skin yet.", "Work it out first.")
    return products.skin


def _accept(view: View, typed: Typed) -> Edited:
    region, option = str(typed.get("region", "")), str(typed.get("option", ""))
    study = view.studies.get(region)
    if study is None:
        raise JobError(f"Nobody has searched for seams of '{region}'.", "Search first.")
    return accept(study, option, view.job), f"seams of {region}: option {option}"


PANEL_EDITS: dict[str, Callable[[Job, Typed], Edited]] = {
    "panel aim": _set_aim,
    "panel grain": _set_grain,
    "panel allowance": _set_allowance,
    "panel both sides": _set_both_sides,
    "panel edge": _set_edge,
    "add panel": _add_panel,
    "drop panel": _drop_panel,
    "drop seam": _drop_seam,
}
"""By the name that the page sends."""

SEAM_EDITS: dict[str, Callable[[View, Typed], Edited]] = {
    "add seam": _add_seam,
    "accept seams": _accept,
}
"""Those that need what was worked out before."""
