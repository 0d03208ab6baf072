"""The skin in a moment after an edit: coarse where lines moved, fine where they did not."""

from collections.abc import Mapping

from buckwright.errors import JobError
from buckwright.model.job import Job, Products
from buckwright.model.lines import LineNetwork
from buckwright.model.skin import RegionSpec, SkinRegion
from buckwright.skin.drafting import Draft, draft_region, touched_regions
from buckwright.skin.moved_lines import moved_network

__all__ = ["Made", "draft_skin"]

Made = tuple[LineNetwork, tuple[RegionSpec, ...]]
"""What a skin was made from."""


def draft_skin(
    job: Job, products: Products, fine_from: Made | None, known: Mapping[str, Draft]
) -> tuple[tuple[tuple[SkinRegion, bool], ...], dict[str, Draft]]:
    """Every region, each with whether it is coarse; and the drafts, for the next time.

    `fine_from` is what the skin in `products` was made from; where it is None all is coarse.
    `known` are drafts made before. Lines that are softened are moved as they were for the skin in
    `products`, for to soften them anew takes seconds. Raises JobError where the lines of a region
    bound nothing.
    """
    if products.lines is None or not job.regions:
        raise JobError("There are no lines to span.", "Work out the lines first.")
    network = products.lines.network
    now = (network, job.regions)
    names = {spec.name for spec in job.regions}
    if fine_from is not None and products.skin is not None:
        spanned = {region.name for region in products.skin.regions}
        names = {*touched_regions(fine_from, now), *(names - spanned)}
    softened = _as_softened(job, products, network)
    drafts, shown = {}, []
    for spec in job.regions:
        if spec.name in names:
            before = known.get(spec.name)
            sheet = None if before is None else before.sheet
            draft = draft_region(softened, job.regions, spec.name, sheet)
            drafts[spec.name] = draft
            shown += [(region, True) for region in draft.both_sides()]
        elif products.skin is not None:
            shown += [(r, False) for r in products.skin.regions if r.name == spec.name]
    asked = {spec.name for spec in job.regions}
    others = () if products.skin is None else products.skin.regions
    shown += [(region, False) for region in others if region.name not in asked]
    return tuple(shown), {**known, **drafts}


def _as_softened(job: Job, products: Products, network: LineNetwork) -> LineNetwork:
    """The network with the lines of regions that are softened moved as they were before."""
    if products.skin is None:
        return network
    specs = {spec.name: spec for spec in job.regions}
    longest: dict[str, float] = {}
    for asked in job.softened:
        spec = specs.get(asked.region)
        for name in () if spec is None else (*spec.boundary, *spec.inner, *spec.holes):
            longest.setdefault(name, asked.tolerance)
    return moved_network(network, products.skin.moves, longest)
