"""What the shop should know about a buck before it cuts rod."""

from collections.abc import Sequence

from buckwright.buck.layers import LayerPlan
from buckwright.buck.paths import Path
from buckwright.buck.rods import Rod
from buckwright.model.buck import BuckSpec, FrameMember, Post, Tack, Wire
from buckwright.model.finding import Finding

__all__ = ["doubts_about_frame", "doubts_about_wires"]

NAMES_SHOWN = 4


def _listed(names: Sequence[str]) -> str:
    quoted = [f"'{name}'" for name in names[:NAMES_SHOWN]]
    if len(names) > NAMES_SHOWN:
        quoted.append(f"{len(names) - NAMES_SHOWN} more")
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"


def doubts_about_wires(
    spec: BuckSpec,
    paths: Sequence[Path],
    rods: Sequence[Rod],
    plan: LayerPlan,
    tacks: Sequence[Tack],
    wires: Sequence[Wire],
) -> tuple[Finding, ...]:
    """Wires in pieces, moved to an inner layer, in clash, or held by nothing."""
    found = [*_in_pieces(spec, paths), *_moved_in(spec, paths, plan), *_spaced(paths, plan)]
    found += [_clash(rods[i].path.name, rods[j].path.name) for i, j in plan.clashing]
    for wire in wires:
        if not any(wire.name in tack.wires for tack in tacks):
            found.append(
                Finding(
                    code="held-by-nothing",
                    where=wire.name,
                    message="It meets no other wire, so nothing holds it.",
                    remedy="Add a wire that crosses it, or hold it with a stay from the frame.",
                )
            )
    return tuple(found)


def _in_pieces(spec: BuckSpec, paths: Sequence[Path]) -> list[Finding]:
    found = []
    names = {path.name.removesuffix(" left") for path in paths if path.side != "right"}
    for wire in spec.wires:
        base = wire.name.removesuffix(" left")
        pieces = sorted(n for n in names if n.removeprefix(f"{base} ").isdigit())
        if len(pieces) < 2:
            continue
        why = (
            f"the line lies on '{wire.region}' in {len(pieces)} stretches"
            if wire.line
            else f"there is no metal between its {len(pieces)} stretches: an opening or the edge"
        )
        found.append(
            Finding(
                code="wire-in-pieces",
                kind="note",
                where=wire.name,
                message=f"It is made as {_listed(pieces)}, because {why}.",
                remedy="Leave it so, or move the wire if it should be one rod.",
            )
        )
    return found


def _moved_in(spec: BuckSpec, paths: Sequence[Path], plan: LayerPlan) -> list[Finding]:
    moved: dict[tuple[str, int, int], dict[str, None]] = {}
    for number, path in enumerate(paths):
        if plan.layers[number] == path.layer:
            continue
        key = (path.asked, path.layer, plan.layers[number])
        others = moved.setdefault(key, {})
        for i, j in plan.crossing:
            if number in (i, j):
                others[paths[j if i == number else i].asked] = None
    return [
        Finding(
            code="moved-in",
            kind="note",
            where=name,
            message=f"In layer {least} its rod would run through {_listed(list(others))}, so it "
            f"lies in layer {layer}, {(layer - least) * spec.rod_diameter:.2f} mm farther in.",
            remedy="Nothing, or give the other wire an inner layer if this one must carry the "
            "metal.",
        )
        for (name, least, layer), others in moved.items()
        # One that stands keeps its layer though nothing new asks for it.
        if others
    ]


def _spaced(paths: Sequence[Path], plan: LayerPlan) -> list[Finding]:
    apart: dict[tuple[str, int], dict[str, None]] = {}
    for i, j in dict.fromkeys([*plan.crossing, *plan.ending]):
        layers = abs(plan.layers[i] - plan.layers[j]) - 1
        if layers > 0:
            others = apart.setdefault((paths[i].asked, layers), {})
            others[paths[j].asked] = None
    return [
        Finding(
            code="spacer",
            kind="note",
            where=name,
            message=f"It stands clear of {_listed(list(others))} by {_count(layers)}, so they "
            "cannot be tacked directly.",
            remedy="Weld a stub of the same rod between them at each place where they meet.",
        )
        for (name, layers), others in apart.items()
    ]


def _count(diameters: int) -> str:
    return "one rod diameter" if diameters == 1 else f"{diameters} rod diameters"


def _clash(first: str, second: str) -> Finding:
    return Finding(
        code="rods-clash",
        where=first,
        message=f"Its tube runs into '{second}' whichever lies farther in.",
        remedy="Leave one of the two out, or cut one where they meet.",
    )


def doubts_about_frame(
    wires: Sequence[Wire], members: Sequence[FrameMember], posts: Sequence[Post]
) -> tuple[Finding, ...]:
    """A frame that is not asked for, and regions that no post holds."""
    if not members:
        return (
            Finding(
                code="no-frame",
                where="inner frame",
                message="No stations are given for it, so the wires have no frame and no posts.",
                remedy="Say between which stations the frame shall stand.",
            ),
        )
    held = {wire.region for wire in wires for post in posts if post.wire == wire.name}
    loose = sorted({wire.region for wire in wires} - held)
    return tuple(
        Finding(
            code="no-post",
            where=region,
            message="No straight post from the frame reaches its wires past skin and other wires.",
            remedy="Stand it on feet of its own, or hold it with a bracket from outside.",
        )
        for region in loose
    )
