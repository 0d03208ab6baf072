"""Tapes against lines: how far off, which of them the others contradict, and the common factor.

The factor is weighted least squares of typed = factor * lines. A tape is an outlier where it
differs from the factor of all the others by more than both explain (leave one out); the worst goes
first, and the others are judged again without it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckwright.errors import JobError
from buckwright.lines.taping import TapeGround, on_lines
from buckwright.model.finding import Finding
from buckwright.model.tapes import Tape, TapeCheck, TapeRow, TapeScale

__all__ = ["check_tapes", "scale_from_tapes"]

Array = NDArray[np.float64]

FAR = 3.5
"""Standard errors beyond which a tape, or a factor, is no accident."""
ALIKE = 0.02
UNITS = {25.4: "inches", 10.0: "cm", 1000.0: "metres", 304.8: "feet"}
FLOOR = 1e-3
"""mm below which no standard error counts."""


@dataclass(frozen=True, eq=False, slots=True)
class _Factor:
    value: float
    sigma: float
    kept: NDArray[np.bool_]


def check_tapes(tapes: Sequence[Tape], ground: TapeGround) -> TapeCheck:
    """Every tape held against the lines, worst first, with what would explain it."""
    rows: list[TapeRow] = []
    missing: list[Finding] = []
    for tape in tapes:
        try:
            rows.append(_row(tape, ground))
        except JobError as error:
            message = f"The tape '{tape.name}' was passed over: {error.problem}"
            missing.append(Finding(code="tape-nowhere", where=tape.name, message=message,
                                   remedy=error.remedy))  # fmt: skip
    if not rows:
        return TapeCheck(rows=(), findings=tuple(missing))
    factor = _factor(rows)
    off = abs(factor.value - 1.0) > FAR * factor.sigma and _agreeing(rows, factor)
    about = factor.value if off else 1.0
    judged = [
        row.model_copy(update={"outlier": not kept and abs(_sigmas(row, about)) > FAR})
        for row, kept in zip(rows, factor.kept, strict=True)
    ]
    judged = [row.model_copy(update={"wrong": _wrong(row, about, off=off)}) for row in judged]
    judged.sort(key=lambda row: -abs(row.sigmas))
    findings = [_scale_off(factor, ground.scale, len(rows))] if off else []
    findings += [_off(row, about) for row in judged if row.outlier]
    if not off:
        findings += [_off(row, 1.0) for row in judged if not row.outlier and abs(row.sigmas) > FAR]
    return TapeCheck(
        rows=tuple(judged),
        factor=factor.value,
        factor_sigma=factor.sigma,
        findings=(*findings, *missing),
    )


def scale_from_tapes(
    tapes: Sequence[Tape], ground: TapeGround, now: TapeScale | None = None
) -> TapeScale:
    """The factor by which the lines must grow to fit the tapes, beside the one that is in force.

    Raises JobError for no tape, one that cannot be held against the lines, two that contradict
    each other, and a factor that is plainly a unit.
    """
    if not tapes:
        raise JobError("No tape is trusted for the scale.", "Name one at least.")
    rows = [_row(tape, ground) for tape in tapes]
    factor = _factor(rows)
    if len(rows) == 2:
        apart = _apart_from_rest(rows, np.array([True, True]))
        if abs(apart[0]) > FAR:
            a, b = rows
            raise JobError(
                f"Two tapes contradict each other: by '{a.name}' the lines are "
                f"{100.0 * (a.lines / a.typed - 1.0):+.2f} % off, by '{b.name}' "
                f"{100.0 * (b.lines / b.typed - 1.0):+.2f} %.",
                "Measure both again, or take a third: then it is known which is wrong.",
            )
    kept = factor.kept
    if kept.sum() < 0.5 * len(rows):
        raise JobError(
            f"{int((~kept).sum())} of {len(rows)} tapes are contradicted by the others.",
            "Look whether lines and tapes are of the same thing.",
        )
    told = _as_unit(factor.value, ground.scale)
    if told:
        raise JobError(f"The tapes are {factor.value:.4g} times the lines: {told}.",
                       "Type them again with their unit.")  # fmt: skip
    old = 1.0 if now is None else now.factor
    return TapeScale(
        factor=factor.value * old,
        sigma=factor.sigma / factor.value,
        tapes=tuple(row.name for row, k in zip(rows, kept, strict=True) if k),
        left_out=tuple(row.name for row, k in zip(rows, kept, strict=True) if not k),
    )


def _row(tape: Tape, ground: TapeGround) -> TapeRow:
    size, sigma = on_lines(tape, ground)
    times = ground.scale if tape.on == "model" else 1.0
    row = TapeRow(
        name=tape.name,
        typed=times * tape.size,
        sigma=times * tape.sigma,
        lines=size,
        lines_sigma=sigma,
        sigmas=0.0,
        outlier=False,
    )
    return row.model_copy(update={"sigmas": _sigmas(row, 1.0)})


def _doubt(row: TapeRow) -> float:
    return float(max(np.hypot(row.sigma, row.lines_sigma), FLOOR))


def _sigmas(row: TapeRow, factor: float) -> float:
    return (row.typed - factor * row.lines) / _doubt(row)


def _weights(rows: Sequence[TapeRow]) -> tuple[Array, Array]:
    """Each tape's own factor, and one over the square of its standard error."""
    lines = np.array([max(row.lines, FLOOR) for row in rows])
    own = np.array([row.typed for row in rows]) / lines
    return own, (lines / np.array([_doubt(row) for row in rows])) ** 2


def _factor(rows: Sequence[TapeRow]) -> _Factor:
    own, weight = _weights(rows)
    kept = np.ones(len(rows), dtype=bool)
    while kept.sum() > 2:
        apart = np.abs(_apart_from_rest(rows, kept))
        worst = int(np.argmax(np.where(kept, apart, -1.0)))
        if apart[worst] <= FAR:
            break
        kept[worst] = False
    total = float(weight[kept].sum())
    value = float(weight[kept] @ own[kept]) / total
    count = int(kept.sum())
    misfit = float(weight[kept] @ (own[kept] - value) ** 2) / max(count - 1, 1)
    return _Factor(value, float(np.sqrt(max(1.0, misfit) / total)), kept)


def _apart_from_rest(rows: Sequence[TapeRow], kept: NDArray[np.bool_]) -> Array:
    """Standard errors between each tape's own factor and that of the other kept ones."""
    own, weight = _weights(rows)
    rest = np.maximum((weight * kept).sum() - weight * kept, 1e-300)
    mean = ((weight * own * kept).sum() - weight * own * kept) / rest
    return np.asarray((own - mean) / np.sqrt(1.0 / weight + 1.0 / rest))


def _agreeing(rows: Sequence[TapeRow], factor: _Factor) -> bool:
    """Whether more than one tape says so, and they say the same."""
    kept = [row for row, k in zip(rows, factor.kept, strict=True) if k]
    return len(kept) > 1 and all(abs(_sigmas(row, factor.value)) <= FAR for row in kept)


def _scale_off(factor: _Factor, scale: float, count: int) -> Finding:
    agree = int(factor.kept.sum())
    told = _as_unit(factor.value, scale)
    words = f" {told[0].upper()}{told[1:]}." if told else ""
    return Finding(
        code="scale-off",
        where="scale",
        message=f"{agree} of {count} tapes are off by one factor: the lines are to be "
        f"{factor.value:.5f} times as large ({100.0 * (factor.value - 1.0):+.2f} %, known to "
        f"{100.0 * factor.sigma:.2f} %).{words}",
        remedy="Type the tapes again with their unit."
        if told
        else "Measure the mat's bar again, or take these tapes for the scale.",
    )


def _as_unit(factor: float, scale: float) -> str:
    """What a factor is likely to come from: a unit, or the model's scale; '' if neither."""
    for size, unit in UNITS.items():
        if abs(factor * size - 1.0) < ALIKE:
            return f"the tapes seem to be read in {unit} and typed as millimetres"
        if abs(factor / size - 1.0) < ALIKE:
            return f"the tapes seem to be read in millimetres and typed as {unit}"
    if abs(scale - 1.0) > 0.1 and abs(factor * scale - 1.0) < ALIKE:
        return "the tapes seem to be laid on the model but said to be at full size"
    if abs(scale - 1.0) > 0.1 and abs(factor / scale - 1.0) < ALIKE:
        return "the tapes seem to be laid at full size but said to be on the model"
    return ""


def _wrong(row: TapeRow, factor: float, *, off: bool) -> Literal["", "tape", "lines", "either"]:
    """Which of the two is more likely wrong, by what the other tapes say.

    A tape that the others contradict is; where they all ask for one factor, the lines' size is.
    """
    if row.outlier:
        return "tape"
    if off:
        return "lines"
    if abs(row.sigmas) <= FAR:
        return ""
    return "tape" if _why(row, factor * row.lines) else "either"


_VERDICTS = {
    "tape": "The tape is more likely wrong",
    "either": "Nothing says yet which of the two is wrong: a third measurement would",
}


def _off(row: TapeRow, factor: float) -> Finding:
    expected = factor * row.lines
    off = row.typed - expected
    others = ": the other tapes contradict it" if row.outlier else ""
    return Finding(
        code="tape-off",
        where=row.name,
        message=f"The tape '{row.name}' says {row.typed:.1f} ± {row.sigma:.1f} mm where the lines "
        f"give {expected:.1f} ± {row.lines_sigma:.1f} mm: {off:+.1f} mm, "
        f"{abs(_sigmas(row, factor)):.0f} times what both are sure to."
        f"{_why(row, expected)} {_VERDICTS[row.wrong]}{others}.",
        remedy="Measure it again; where the tape is right, look at the lines it ends on.",
    )


def _why(row: TapeRow, expected: float) -> str:
    """What would explain it, in a sentence; '' where nothing does."""
    near = FAR * _doubt(row)
    off = row.typed - expected
    for size, unit in UNITS.items():
        if abs(row.typed * size / expected - 1.0) < ALIKE:
            return f" It seems to be in {unit}."
    for start in (10.0, 25.4, 100.0, 1000.0):
        if abs(abs(off) - start) <= min(near, 0.1 * start):
            return f" It may have been read from the {start:g} mm mark, or misread by {start:g} mm."
    digits = list(f"{row.typed:.0f}")
    for k in range(len(digits) - 1):
        swapped = [*digits[:k], digits[k + 1], digits[k], *digits[k + 2 :]]
        if swapped != digits and abs(float("".join(swapped)) - expected) <= near + 0.5:
            return f" Two figures may be swapped: {''.join(swapped)}."
    return ""
