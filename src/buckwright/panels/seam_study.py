"""Where a region's seams should go: the options at full fineness, and which of them to take."""

from collections.abc import Sequence

import numpy as np

from buckwright.errors import JobError
from buckwright.geometry.polyline import polyline_length
from buckwright.model.finding import Finding
from buckwright.model.job import Job
from buckwright.model.panels import PanelSpec, SeamSpec, SheetStock
from buckwright.model.seams import ProposedSeam, SeamOption, SeamPiece, SeamStudy, ShopReach
from buckwright.model.skin import Skin, SkinRegion
from buckwright.panels.seam_parts import Measure, Part, measure_mesh, rim_of
from buckwright.panels.seam_search import Watch, search_states
from buckwright.panels.seam_specs import specs_of
from buckwright.panels.seam_start import whole_part
from buckwright.panels.seam_states import Bounds, State, Step, excess, lopsided
from buckwright.panels.seam_words import choice_words, option_words, seam_words
from buckwright.panels.seams import cut_panels, find_region
from buckwright.panels.verdict import known_metal

__all__ = ["accept", "propose_seams"]

_SEARCH = 0.7
"""Share of the work that the search is; the rest is laying its best flat in fine meshes."""


def propose_seams(
    name: str,
    skin: Skin,
    sheet: SheetStock,
    *,
    watch: Watch,
    reach: ShopReach | None = None,
    allowance: float = 10.0,
) -> SeamStudy:
    """Options for dividing a region of the skin into panels, and the one to take.

    Seams along lines of the region are tried first, then straight ways that its curvature speaks
    for; every option's figures are those of panels cut and laid flat in fine meshes. The option to
    take has the fewest pieces that fit reach and sheet (with `allowance`, mm, all round) and that
    the metal takes in one temper. The answer does not depend on how many workers `watch` has;
    stopped, it is the best so far. Raises JobError for a region or metal that is not known.
    """
    region, metal = find_region(name, skin), known_metal(sheet)
    shop, limit = reach or ShopReach(), float(np.log1p(metal.row.least))
    bounds = Bounds.of(shop, sheet.size, allowance, both_sides=region.side == "whole")
    part = whole_part(region)
    early = Watch(watch.executor, lambda s: watch.progress(_SEARCH * s), watch.stopped)
    found = search_states(part, bounds, limit, shop.most_pieces, early)
    watch.progress(_SEARCH)
    drawn = [specs_of(state, region, allowance) for state in found.states]
    # Stopped, the figures of the search itself stand.
    fine: list[Sequence[Measure] | None] = [state.measures for state in found.states]
    if found.complete:
        tasks = [(region, *specs) for specs in drawn]
        fine = list(Watch(watch.executor).each(measure_finely, tasks))
    good = [
        _option(state, measures, specs, bounds, limit)
        for state, measures, specs in zip(found.states, fine, drawn, strict=True)
        if measures is not None
    ]
    options = _worth_showing(good, bounds)
    chosen = _chosen(options, bounds)
    words = f"{sheet.alloy} of {sheet.thickness:g} mm"
    watch.progress(1.0)
    return SeamStudy(
        region=region.name,
        side=region.side,
        options=options,
        chosen=chosen.name,
        why=choice_words(chosen, options, words),
        reach=shop,
        sheet=sheet.size,
        allowance=allowance,
        limit=limit,
        tried=found.tried,
        complete=found.complete,
        findings=_doubts(
            region.name, chosen, complete=found.complete, both_sides=bounds.both_sides
        ),
    )


def measure_finely(
    region: SkinRegion, seams: tuple[SeamSpec, ...], specs: tuple[PanelSpec, ...]
) -> tuple[Measure, ...] | None:
    """What the panels need when cut from the region in a fine mesh; None where that fails."""
    try:
        panels, _ = cut_panels(specs, Skin(regions=(region,)), seams)
    except JobError:
        return None
    return tuple(measure_mesh((panel.vertices, panel.triangles)) for panel in panels)


def accept(study: SeamStudy, option: str, job: Job) -> Job:
    """The job with the seams and panels of that option instead of those the region had.

    Raises JobError for an option that the study does not have.
    """
    names = [one.name for one in study.options]
    if option not in names:
        raise JobError(
            f"The seams of '{study.region}' have no option '{option}'.",
            f"There are {', '.join(names)}.",
        )
    taken = study.option(option)
    place = next((k for k, p in enumerate(job.panels) if p.region == study.region), None)
    panels = [panel for panel in job.panels if panel.region != study.region]
    at = len(panels) if place is None else place
    seams = tuple(seam for seam in job.seams if seam.region != study.region)
    return job.model_copy(
        update={
            "seams": (*seams, *taken.drawn),
            "panels": (*panels[:at], *taken.panels, *panels[at:]),
        }
    )


def _option(
    state: State,
    measures: Sequence[Measure],
    specs: tuple[tuple[SeamSpec, ...], tuple[PanelSpec, ...]],
    bounds: Bounds,
    limit: float,
) -> SeamOption:
    drawn, panels = specs
    area, weld = sum(m.area for m in measures), state.weld
    peak = max(m.peak for m in measures)
    within_reach = all(excess(m, bounds.reach) == 0.0 for m in measures)
    on_sheet = all(excess(m, bounds.sheet) == 0.0 for m in measures)
    takes_it = max(m.effective for m in measures) <= limit
    return SeamOption(
        name="",
        seams=tuple(_proposed(seam, step) for seam, step in zip(drawn, state.steps, strict=True)),
        pieces=tuple(
            _piece(panel.name, part, measure, bounds)
            for panel, part, measure in zip(panels, state.parts, measures, strict=True)
        ),
        peak=peak,
        work_density=sum(m.work for m in measures) / area,
        weld=weld,
        within_reach=within_reach,
        on_sheet=on_sheet,
        takes_it=takes_it,
        words=option_words(
            len(measures),
            peak,
            weld,
            within_reach=within_reach,
            on_sheet=on_sheet,
            takes_it=takes_it,
        ),
        drawn=drawn,
        panels=panels,
    )


def _proposed(seam: SeamSpec, step: Step) -> ProposedSeam:
    division = step.division
    first, second = (float(np.degrees(angle)) for angle in division.meets)
    halves = [half.total_rounding() for half in division.parts]
    return ProposedSeam(
        name=seam.name,
        line=division.line,
        points=division.points,
        length=polyline_length(division.points),
        meets_deg=(first, second),
        least_radius=division.radius,
        rounding_before=step.part.total_rounding(),
        rounding_after=(halves[0], halves[1]),
        why=seam_words(step),
    )


def _piece(name: str, part: Part, measure: Measure, bounds: Bounds) -> SeamPiece:
    return SeamPiece(
        name=name,
        edge=part.vertices[rim_of(part)],
        area=measure.area,
        size=(measure.long, measure.short),
        peak=measure.peak,
        work_density=measure.work / measure.area,
        within_reach=excess(measure, bounds.reach) == 0.0,
        on_sheet=excess(measure, bounds.sheet) == 0.0,
    )


def _worth_showing(options: list[SeamOption], bounds: Bounds) -> tuple[SeamOption, ...]:
    """Options for which no other is as good in pieces, weld, strain, sizes: A, B, C, ..."""
    ranked = sorted(options, key=lambda o: (len(o.pieces), o.peak))
    kept: list[SeamOption] = []
    for option in ranked:
        large = _too_large(option, bounds)
        if not any(
            o.weld <= 1.01 * option.weld
            and o.peak <= 1.02 * option.peak
            and _too_large(o, bounds) <= large + 1e-9
            for o in kept
        ):
            kept.append(option)
    return tuple(
        option.model_copy(update={"name": chr(ord("A") + k)}) for k, option in enumerate(kept)
    )


def _chosen(options: Sequence[SeamOption], bounds: Bounds) -> SeamOption:
    """The fewest pieces that fit and that the metal takes; else what comes nearest."""
    whole = max(options[0].peak, 1e-9)

    def burden(option: SeamOption) -> tuple[float, ...]:
        too_large = _too_large(option, bounds)
        good = too_large == 0.0 and option.takes_it
        uneven = lopsided([seam.points for seam in option.seams]) if bounds.both_sides else 0
        if good:
            return (float(uneven > 0), 0.0, float(len(option.pieces)), option.peak)
        return (1.0, 1.0, option.peak / whole + 2.0 * too_large + 0.25 * uneven, option.weld)

    return min(options, key=burden)


def _too_large(option: SeamOption, bounds: Bounds) -> float:
    """By how much its pieces are too large in all, as shares."""
    return sum(max(_over(p.size, bounds.reach), _over(p.size, bounds.sheet)) for p in option.pieces)


def _over(size: tuple[float, float], bounds: tuple[float, float]) -> float:
    return max(0.0, size[0] / bounds[0] - 1.0) + max(0.0, size[1] / bounds[1] - 1.0)


def _doubts(
    region: str, chosen: SeamOption, *, complete: bool, both_sides: bool
) -> tuple[Finding, ...]:
    found = []
    if not complete:
        found.append(
            Finding(
                code="search-stopped",
                where=region,
                message="The search for seams was stopped: this is the best until then, measured "
                "coarsely.",
                remedy="Let it run to its end before cutting metal.",
            )
        )
    if both_sides and lopsided([seam.points for seam in chosen.seams]):
        found.append(
            Finding(
                code="seams-differ-left-and-right",
                where=region,
                message="The seams proposed are not alike on the left and on the right.",
                remedy="Move them by hand so that they mirror each other, or draw lines to follow.",
            )
        )
    if not (chosen.within_reach and chosen.on_sheet):
        found.append(
            Finding(
                code="no-option-fits",
                where=region,
                message=f"No option was found whose pieces all fit: {chosen.words}.",
                remedy="Allow more pieces, a larger sheet, or draw the seams by hand.",
            )
        )
    return tuple(found)
