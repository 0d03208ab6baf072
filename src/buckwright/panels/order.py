"""The order in which a panel is worked: what to shrink most comes first."""

from collections.abc import Sequence

from buckwright.model.panels import EdgeMake, MapArea, PanelVerdict, WorkStep

__all__ = ["edge_steps", "in_order"]

_TURNED = ("flange", "hem", "double hem", "wired edge")


def in_order(
    areas: Sequence[MapArea], verdict: PanelVerdict
) -> tuple[tuple[MapArea, ...], tuple[WorkStep, ...]]:
    """The areas with their places in the order of work, and the steps.

    Anneal first where the metal will not take it as it comes; then shrink, largest first, for
    shrinking is what thickens and stiffens an edge while the panel is still flat enough to reach;
    then stretch, largest first; then what keeps its area; then bend.
    """
    ranked = sorted(range(len(areas)), key=lambda k: (_rank(areas[k]), -abs(areas[k].peak)))
    steps: list[WorkStep] = []
    if verdict.step == "will not take it" and verdict.anneal:
        steps.append(WorkStep(number=1, what="anneal", areas=(), words=verdict.anneal))
    bent = [k for k in ranked if areas[k].kind == "leave" and areas[k].bend != "flat"]
    for k in ranked:
        if areas[k].kind != "leave":
            steps.append(
                WorkStep(
                    number=len(steps) + 1,
                    what="shrink" if areas[k].kind == "shrink" else "stretch",
                    areas=(k,),
                    words=areas[k].words,
                )
            )
    gathered = [k for k in bent if areas[k].words.startswith("keep")]
    for what, members in (("gather", gathered), ("bend", [k for k in bent if k not in gathered])):
        if members:
            words = "; ".join(dict.fromkeys(areas[k].words for k in members))
            steps.append(
                WorkStep(
                    number=len(steps) + 1,
                    what="gather" if what == "gather" else "bend",
                    areas=tuple(members),
                    words=words,
                )
            )
    place = {k: step.number for step in steps for k in step.areas}
    placed = [area.model_copy(update={"order": place.get(k, 0)}) for k, area in enumerate(areas)]
    return tuple(placed), tuple(steps)


def edge_steps(work: Sequence[WorkStep], edges: Sequence[EdgeMake]) -> tuple[WorkStep, ...]:
    """The steps with those of the edges after them: trim to the line, then turn edges."""
    steps = list(work)
    trimmed = [edge for edge in edges if edge.treatment in ("trim", "weld")]
    if trimmed:
        steps.append(
            WorkStep(
                number=len(steps) + 1,
                what="trim",
                areas=(),
                words="offer up to the buck, mark, and trim to the line",
            )
        )
    steps += [
        WorkStep(number=len(steps) + 1 + k, what="flange", areas=(), words=edge.words)
        for k, edge in enumerate(edge for edge in edges if edge.treatment in _TURNED)
    ]
    return tuple(steps)


def _rank(area: MapArea) -> int:
    return {"shrink": 0, "stretch": 1, "leave": 2}[area.kind]
