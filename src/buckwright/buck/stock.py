"""Which bars to take from the rack, which to buy, and how to cut them.

The rack is used first, and what is left over goes back to it. How the plan is found: `cutting`.
The bound below which no plan can be is always told.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from math import ceil, floor

from buckwright.buck.cutting import CutQuestion, cut_bars
from buckwright.buck.patterns import BarKind
from buckwright.errors import JobError
from buckwright.model.buck import BarCut, CuttingPlan, Piece, Remnant
from buckwright.model.finding import Finding

__all__ = ["plan_cuts", "rack_after"]

UNIT = 0.1
"""mm: lengths are rounded up, bars down, to tenths."""
SHORT_END = 300.0
"""mm: no spliced piece ends in a shorter part."""


def plan_cuts(
    pieces: Sequence[Piece],
    *,
    bar_lengths: Sequence[float],
    kerf: float,
    stock: str,
    remnants: Sequence[Remnant] = (),
    useful: float = 500.0,
) -> CuttingPlan:
    """The least stock, bought in whole bars, that gives all pieces.

    Parameters: pieces in mm; bar lengths, each in unlimited supply; `kerf` (mm) is lost between
    two pieces; `remnants` of this stock in the rack cost nothing, those of another are left
    alone; what is left of a bar and at least `useful` long goes back to the rack. A piece longer
    than every bar to buy is cut in parts, with a finding. With one bar length `bars_bound` is the
    least number of bars to buy; with several the least length bought is sought and
    `length_bound` bounds it. Same input, same plan. Raises JobError for a piece without length
    or no bar length.
    """
    _refuse_nonsense(pieces, bar_lengths, kerf)
    parts, findings = _spliced(pieces, max(bar_lengths))
    kinds = [*_bars_to_buy(bar_lengths, kerf), *_bars_in_rack(remnants, stock, kerf)]
    cut = ceil(kerf / UNIT - 1e-6)
    sizes = tuple(ceil(part.length / UNIT - 1e-6) + cut for part in parts)
    question = CutQuestion(sizes=sizes, kinds=tuple(kinds))
    found, bound = cut_bars(question)
    bars = [
        _bar_cut(stock, (kinds[bar].capacity - cut) * UNIT, [parts[k] for k in held], kerf, rack)
        for bar, held in found
        for rack in (kinds[bar].supply is not None,)
    ]
    bars.sort(key=lambda bar: (not bar.from_rack, -bar.bar_length))
    plan = CuttingPlan(
        stock=stock,
        bars=tuple(bars),
        bars_bound=ceil(bound / max(kind.cost for kind in kinds)),
        kerf=kerf,
        proven=question.cost(found) == bound,
        length_bound=bound * UNIT,
        length_bought=question.cost(found) * UNIT,
        left_over=_left_over(stock, bars, useful),
        findings=findings,
    )
    return plan.model_copy(update={"words": _words(plan)})


def _bars_to_buy(lengths: Sequence[float], kerf: float) -> list[BarKind]:
    cut = ceil(kerf / UNIT - 1e-6)
    costs = sorted({floor(length / UNIT + 1e-6) for length in lengths}, reverse=True)
    return [BarKind(capacity=cost + cut, cost=cost) for cost in costs]


def _bars_in_rack(remnants: Sequence[Remnant], stock: str, kerf: float) -> list[BarKind]:
    cut = ceil(kerf / UNIT - 1e-6)
    counted: Counter[int] = Counter()
    for remnant in remnants:
        if remnant.stock == stock and remnant.length > 0.0 and remnant.count > 0:
            counted[floor(remnant.length / UNIT + 1e-6)] += remnant.count
    return [
        BarKind(capacity=length + cut, cost=0, supply=count)
        for length, count in sorted(counted.items())
    ]


def rack_after(remnants: Sequence[Remnant], plans: Iterable[CuttingPlan]) -> tuple[Remnant, ...]:
    """The rack when the plans have been cut: what they took is gone, what they left is there.

    Longest first within each stock. Raises JobError if a plan takes a bar that the rack has not.
    """
    rack: Counter[tuple[str, float]] = Counter()
    for remnant in remnants:
        rack[remnant.stock, round(remnant.length, 1)] += remnant.count
    for plan in plans:
        for bar in plan.bars:
            if bar.from_rack:
                rack[_taken(rack, bar)] -= 1
        for remnant in plan.left_over:
            rack[remnant.stock, round(remnant.length, 1)] += remnant.count
    kept = sorted((key for key, count in rack.items() if count > 0), key=lambda k: (k[0], -k[1]))
    return tuple(Remnant(stock=k[0], length=k[1], count=rack[k]) for k in kept)


def _taken(rack: Counter[tuple[str, float]], bar: BarCut) -> tuple[str, float]:
    for key, count in rack.items():
        if count > 0 and key[0] == bar.stock and abs(key[1] - bar.bar_length) < 0.5 * UNIT:
            return key
    raise JobError(
        f"The plan takes {bar.bar_length:.0f} mm of {bar.stock} from the rack, which has none.",
        "Work the buck out again with what is in the rack now.",
    )


def _left_over(stock: str, bars: Sequence[BarCut], useful: float) -> tuple[Remnant, ...]:
    kept = Counter(float(floor(bar.remnant)) for bar in bars if bar.remnant >= max(useful, 1.0))
    return tuple(
        Remnant(stock=stock, length=length, count=count)
        for length, count in sorted(kept.items(), reverse=True)
    )


def _words(plan: CuttingPlan) -> str:
    """What to take and to buy, and how good the plan is."""
    rack = sum(bar.from_rack for bar in plan.bars)
    bought = Counter(bar.bar_length for bar in plan.bars if not bar.from_rack)
    named = ", ".join(
        f"{count} bar{'s' if count > 1 else ''} of {length:.0f} mm"
        for length, count in sorted(bought.items(), reverse=True)
    )
    start = f"Buy {named}" if named else "Buy nothing"
    start += f"; {rack} from the rack" if rack else ""
    if plan.proven:
        return f"{start}. No plan buys less."
    gap = plan.length_bought - plan.length_bound
    return (
        f"{start}. Any plan buys {plan.length_bound:.0f} mm at least; this one buys "
        f"{plan.length_bought:.0f}, {100.0 * gap / plan.length_bound:.1f} % more."
    )


def _refuse_nonsense(pieces: Sequence[Piece], bar_lengths: Sequence[float], kerf: float) -> None:
    if not bar_lengths or min(bar_lengths) <= 0.0:
        raise JobError("There is no bar to cut from.", "Name at least one bar length above 0 mm.")
    if kerf < 0.0:
        raise JobError(f"A saw cut of {kerf:g} mm cannot be.", "Give the width of the saw blade.")
    for piece in pieces:
        if not piece.length > 0.0:
            raise JobError(f"The piece '{piece.name}' has no length.", "Take it off the list.")


def _spliced(pieces: Sequence[Piece], longest: float) -> tuple[list[Piece], tuple[Finding, ...]]:
    """The pieces with those longer than a bar in parts: whole bars, then what is left."""
    parts, findings = [], []
    for piece in pieces:
        if piece.length <= longest:
            parts.append(piece)
            continue
        whole = int(piece.length // longest)
        lengths = [longest] * whole
        rest = piece.length - whole * longest
        short = min(SHORT_END, 0.25 * longest)
        if 0.0 < rest < short:
            lengths[-1], rest = longest - (short - rest), short
        lengths += [rest] if rest > 0.0 else []
        parts += [
            Piece(name=f"{piece.name} part {k}", length=length)
            for k, length in enumerate(lengths, 1)
        ]
        joints = ", ".join(f"{sum(lengths[:k]):.0f}" for k in range(1, len(lengths)))
        findings.append(
            Finding(
                code="spliced",
                kind="note",
                where=piece.name,
                message=f"It needs {piece.length:.0f} mm and the longest bar has {longest:.0f} mm, "
                f"so it is butt-welded from {len(lengths)} parts, joined at {joints} mm.",
                remedy="Dress the weld flush and keep the joint out of the tightest bend, or buy "
                "longer bars.",
            )
        )
    return parts, tuple(findings)


def _bar_cut(stock: str, length: float, held: Sequence[Piece], kerf: float, rack: bool) -> BarCut:
    cut = sorted(held, key=lambda part: -part.length)
    used = sum(part.length for part in cut) + kerf * len(cut)
    return BarCut(
        stock=stock,
        bar_length=round(length, 1),
        pieces=tuple(cut),
        remnant=max(length - used, 0.0),
        from_rack=rack,
    )
