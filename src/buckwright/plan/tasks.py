"""The tasks that follow from the products, with the shop's own hours."""

import re
from collections.abc import Iterable, Sequence
from itertools import combinations

import numpy as np

from buckwright.geometry.polyline import closest_on_polyline
from buckwright.model.buck import Buck, Wire
from buckwright.model.checking import CheckResult
from buckwright.model.gauges import Gauges
from buckwright.model.panels import Panels
from buckwright.model.plan import Task, WorkRates
from buckwright.plan.cautions import CAUTIONS

__all__ = [
    "OPERATIONS",
    "WELDING",
    "buck_tasks",
    "gauge_tasks",
    "mending_tasks",
    "panel_tasks",
    "seam_length",
]

OPERATIONS = ("bending", "welding", "forming", "cutting", "checking")
"""What a person's skill level is given for."""
WELDING = frozenset({"welding"})
"""Operations that are not left half done when a session ends."""
OPERATION_OF = {
    "bend wire": "bending",
    "build frame": "welding",
    "tack": "welding",
    "weld seam": "welding",
    "form panel": "forming",
    "cut gauge": "cutting",
    "cut blank": "cutting",
    "check panel": "checking",
}
"""Of each kind of task, named as in the work rates."""
LEARNERS = frozenset({"bend wire", "cut gauge", "cut blank"})
"""Kinds that someone who is learning (level 1) may lead; the others need level 2."""
SEAM_REACH = 1.0
"""mm within which the edges of two panels are one seam."""

Hours = tuple[float, float, float]


def _times(rate: Hours, amount: float) -> Hours:
    return (rate[0] * amount, rate[1] * amount, rate[2] * amount)


def _task(
    name: str, kind: str, hours: Hours, *, people: int = 1, needs: Iterable[str] = ()
) -> Task:
    return Task(
        name=name,
        operation=OPERATION_OF[kind],
        hours=hours,
        skill=1 if kind in LEARNERS else 2,
        people=people,
        needs=tuple(dict.fromkeys(needs)),
        caution=CAUTIONS[kind],
    )


def _families(wires: Sequence[Wire]) -> dict[str, list[Wire]]:
    """Wires bent in one go: the left and the right one, and all pieces of one section."""
    families: dict[tuple[str, str], list[Wire]] = {}
    for wire in wires:
        side = re.compile(r" (left|right)$")
        pieces = [w for w in wires if (w.line, w.region) == (wire.line, wire.region)]
        name = side.sub("", wire.name)
        if len(pieces) > 1:
            name = re.sub(r" \d+$", "", name)
        families.setdefault((name, side.sub("", wire.line)), []).append(wire)
    named: dict[str, list[Wire]] = {}
    for (name, line), members in families.items():
        named[name if name not in named else f"{name} ({line})"] = members
    return named


def buck_tasks(buck: Buck, rates: WorkRates) -> list[Task]:
    """Bend each wire (its mirror image with it), weld the frame, tack by layers, fit posts."""
    tasks: list[Task] = []
    families = _families(buck.wires)
    for family, wires in families.items():
        metres = sum(wire.length for wire in wires) / 1000.0
        hours = _times(rates.bend_wire_per_m, metres)
        tasks.append(_task(_bend_name(family, wires), "bend wire", hours))
    frame = _times(rates.frame_member, len(buck.members))
    built: list[str] = []
    if buck.members:
        task = _task("Cut and weld the inner frame", "build frame", frame, people=2)
        tasks.append(task)
        built = [task.name]
    bent = {wire.name: _bend_name(f, ws) for f, ws in families.items() for wire in ws}
    held = {wire.region for wire in buck.wires for post in buck.posts if post.wire == wire.name}
    tasks += _tack_tasks(buck, rates, bent, dict.fromkeys(held, built))
    if buck.posts:
        hours = _times(rates.tack, 2.0 * len(buck.posts))
        needs = built + [task.name for task in tasks if task.name.startswith("Tack ")]
        task = _task(f"Cut and fit the {len(buck.posts)} posts", "tack", hours, needs=needs)
        tasks.append(task)
    return tasks


def _bend_name(family: str, wires: Sequence[Wire]) -> str:
    how = "Cut" if all(wire.sprung for wire in wires) else "Bend"
    return f"{how} wire {family}" + ("" if len(wires) == 1 else f" ({len(wires)} rods)")


def _tack_tasks(
    buck: Buck, rates: WorkRates, bent: dict[str, str], built: dict[str, list[str]]
) -> list[Task]:
    """One stage for each region and layer; a stage waits for its wires and the stage before.

    Regions that posts will hold wait for the frame too: they are tacked round it.
    """
    wires = {wire.name: wire for wire in buck.wires}
    stages: dict[tuple[str, int], list[tuple[str, str]]] = {}
    for tack in buck.tacks:
        pair = [wires[name] for name in tack.wires]
        inner = max(pair, key=lambda wire: wire.layer)
        stages.setdefault((inner.region, inner.layer), []).append(tack.wires)
    tasks: list[Task] = []
    before: dict[str, str] = {}
    regions = list(dict.fromkeys(wire.region for wire in buck.wires))
    for region, layer in sorted(stages, key=lambda s: (regions.index(s[0]), s[1])):
        pairs = stages[region, layer]
        place = "outer wires" if layer == 0 else f"wires of layer {layer}"
        needs = [*built.get(region, []), *(bent[name] for pair in pairs for name in pair)]
        needs += [before[region]] if region in before else []
        hours = _times(rates.tack, len(pairs))
        name = f"Tack {region}: {place}, {len(pairs)} tack{'s' if len(pairs) > 1 else ''}"
        tasks.append(_task(name, "tack", hours, people=2, needs=needs))
        before[region] = name
    return tasks


def gauge_tasks(gauges: Gauges, rates: WorkRates) -> list[Task]:
    """Cut the cards: one task for each region, or for all named alike up to the first figure."""
    sets: dict[str, int] = {}
    for gauge in gauges.gauges:
        name = gauge.region or re.split(r"\s*(?:\b[xyz]\s*=?)?\s*-?\d", gauge.name, maxsplit=1)[0]
        name = re.sub(r"\b(left|right)\b", "", name).strip(" ,:") or "the body"
        sets[name] = sets.get(name, 0) + 1
    return [
        _task(f"Cut {count} gauges of {name}", "cut gauge", _times(rates.cut_gauge, count))
        for name, count in sets.items()
    ]


def panel_tasks(
    panels: Panels, rates: WorkRates, buck: Buck | None, earlier: Sequence[Task]
) -> list[Task]:
    """Cut and form each panel, check it, weld it to its neighbours, check the whole."""
    tasks: list[Task] = []
    buck_regions = {wire.region for wire in buck.wires} if buck is not None else set()
    gauged = [task.name for task in earlier if task.operation == OPERATION_OF["cut gauge"]]
    for panel, blank in zip(panels.panels, panels.blanks, strict=True):
        needs = [name for name in gauged if name.endswith(f" of {panel.region}")] or gauged
        if panel.region in buck_regions:
            needs += [t.name for t in earlier if t.name.startswith(f"Tack {panel.region}:")]
        if rates.cut_blank is not None:
            tasks.append(_task(f"Cut the blank of {panel.name}", "cut blank", rates.cut_blank))
            needs.append(tasks[-1].name)
        hours = _times(rates.form_panel_per_m2, blank.area / 1e6)
        tasks.append(_task(f"Form {panel.name}", "form panel", hours, needs=needs))
        tasks.append(
            _task(
                f"Check {panel.name}",
                "check panel",
                rates.check_panel,
                needs=[f"Form {panel.name}"],
            )
        )
    return tasks + _seam_tasks(panels, rates)


def _seam_tasks(panels: Panels, rates: WorkRates) -> list[Task]:
    tasks: list[Task] = []
    welded: dict[str, list[str]] = {}
    for i, j in combinations(range(len(panels.panels)), 2):
        length = seam_length(panels, i, j)
        if length <= 0.0:
            continue
        first, second = panels.panels[i], panels.panels[j]
        name = f"Weld {first.name} to {second.name}"
        needs = [f"Check {first.name}", f"Check {second.name}"]
        hours = _times(rates.weld_seam_per_m, length / 1000.0)
        tasks.append(_task(name, "weld seam", hours, people=2, needs=needs))
        welded.setdefault(first.region, []).append(name)
    for region, needs in welded.items():
        tasks.append(
            _task(f"Check {region} after welding", "check panel", rates.check_panel, needs=needs)
        )
    return tasks


def seam_length(panels: Panels, first: int, second: int) -> float:
    """Length of the edge of one panel that lies along the edge of another, mm."""
    edges = [panels.panels[k].vertices[panels.edge_vertices[k]] for k in (first, second)]
    if not len(edges[0]) or not len(edges[1]):
        return 0.0
    gap, _, _ = closest_on_polyline(edges[0], edges[1], closed=True)
    near = gap < SEAM_REACH
    steps = np.linalg.norm(np.roll(edges[0], -1, axis=0) - edges[0], axis=1)
    return float(steps[near & np.roll(near, -1)].sum())


def mending_tasks(checks: Sequence[CheckResult], rates: WorkRates) -> list[Task]:
    """Mend each spot, worked like forming over its area; then check again."""
    tasks: list[Task] = []
    for check in checks:
        mended = []
        for number, spot in enumerate(check.spots, 1):
            hours = _times(rates.form_panel_per_m2, spot.area / 1e6)
            name = f"Mend {spot.kind} spot {number} of {check.survey}"
            tasks.append(_task(name, "form panel", hours))
            mended.append(name)
        if mended:
            name = f"Check {check.survey} again"
            tasks.append(_task(name, "check panel", rates.check_panel, needs=mended))
    return tasks
