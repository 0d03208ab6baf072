"""Where a tape or an edge lies in profiles across it: found roughly, then fitted."""

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

__all__ = ["Fitted", "Kind", "fit_profiles", "responses"]

Array = NDArray[np.float64]
Kind = Literal["tape", "edge", "silhouette"]

TAPE_WIDTHS = (2.0, 3.5, 6.0, 10.0)
"""px, of the tapes that are looked for."""
_BLURS = np.array([0.6, 0.85, 1.2, 1.8, 2.7])
"""px, standard deviations of the blur that are tried."""
_ROUNDS, _TRIAL_ROUNDS = 5, 4
_MARGIN = 4.5
"""px beyond a feature's sides that its fit looks at."""
_ROOT = np.sqrt(2.0 * np.pi)


def responses(grey: NDArray[np.float32], *, kind: Kind, step: float) -> list[Array]:
    """How strongly each place (n, m) of a band looks like the feature, in grey values.

    For a tape two tables, dark and light: how far the middle lies below, or above, both sides,
    at the best of several widths. For edges one: the step either way.
    """
    if kind == "tape":
        return _tape_responses(grey, step)
    best = np.zeros(grey.shape)
    for blur in (0.9, 1.8):
        reach = max(1, round(blur / step))
        smooth = _smoothed(grey, blur=blur / step)
        best = np.maximum(best, np.abs(_shifted(smooth, reach) - _shifted(smooth, -reach)))
    return [best]


def _tape_responses(grey: NDArray[np.float32], step: float) -> list[Array]:
    dark, light = np.zeros(grey.shape), np.zeros(grey.shape)
    for width in TAPE_WIDTHS:
        smooth = _smoothed(grey, blur=max(0.25 * width / step, 0.5))
        reach = max(1, round(0.95 * width / step))
        one, other = _shifted(smooth, reach), _shifted(smooth, -reach)
        dark = np.maximum(dark, np.minimum(one, other) - smooth)
        light = np.maximum(light, smooth - np.maximum(one, other))
    return [dark, light]


def _smoothed(table: NDArray[np.float32], *, blur: float) -> NDArray[np.float32]:
    """Smoothed across the path by `blur` cells, and along it by one."""
    smooth = cv2.GaussianBlur(table, (0, 0), sigmaX=blur, sigmaY=1.0)
    return np.asarray(smooth, dtype=np.float32)


def _shifted(table: NDArray[np.float32], by: int) -> NDArray[np.float32]:
    """The columns moved by `by`, the last one repeated."""
    column = np.clip(np.arange(table.shape[1]) + by, 0, table.shape[1] - 1)
    return table[:, column]


@dataclass(frozen=True, eq=False, slots=True)
class Fitted:
    """What was fitted to n profiles."""

    place: Array
    """(n,) px along the normal."""
    sigma: Array
    """(n,) px, from what the fit leaves over."""
    contrast: Array
    """(n,) grey values between the feature and its ground."""
    left_over: Array
    """(n,) rms grey values."""


def fit_profiles(grey: Array, across: Array, *, kind: Kind, start: Array) -> Fitted:
    """A tape or a step, blurred and on a slope, fitted to each of n profiles (n, m).

    Parameters: across (m,) px where the profiles were read, start (n,) px near the feature.
    Gauss-Newton with damping, weighted towards the feature; the blur is one for all profiles.
    """
    width = _first_width(grey, across, start) if kind == "tape" else np.zeros(len(grey))
    some = slice(None, None, max(1, len(grey) // 6))
    count = len(start[some])
    tried = _descend(
        np.tile(grey[some], (len(_BLURS), 1)),
        across,
        place=np.tile(start[some], len(_BLURS)),
        width=np.tile(width[some], len(_BLURS)),
        blur=np.repeat(_BLURS, count),
        rounds=_TRIAL_ROUNDS,
    )
    blur = _BLURS[int(tried.left_over.reshape(len(_BLURS), count).mean(axis=1).argmin())]
    every = np.full(len(grey), blur)
    return _descend(grey, across, place=start, width=width, blur=every, rounds=_ROUNDS)


def _first_width(grey: Array, across: Array, start: Array) -> Array:
    """(n,) px: width of the tape at half its contrast, the median of all profiles."""
    near = np.abs(across[None, :] - start[:, None])
    middle = _mean_where(near < 1.0, grey)
    ground = _mean_where((near > 6.0) & (near < 10.0), grey)
    contrast = np.where(np.abs(middle - ground) > 1e-6, middle - ground, 1.0)
    inside = ((grey - ground[:, None]) / contrast[:, None] > 0.5) & (near < 8.0)
    step = float(across[1] - across[0])
    return np.full(len(grey), max(1.0, step * float(np.median(inside.sum(axis=1)))))


def _mean_where(chosen: NDArray[np.bool_], grey: Array) -> Array:
    """(n,) mean of the chosen samples of each row, of all where none is chosen."""
    count = chosen.sum(axis=1)
    mean = np.where(chosen, grey, 0.0).sum(axis=1) / np.maximum(count, 1)
    return np.asarray(np.where(count > 0, mean, grey.mean(axis=1)))


def _descend(
    grey: Array, across: Array, *, place: Array, width: Array, blur: Array, rounds: int
) -> Fitted:
    """Gauss-Newton on (place, width) with ground, slope and contrast solved along."""
    taped = bool(width.max(initial=0.0) > 0.0)
    first, place, width = place, place.copy(), width.copy()
    contrast: Array = np.zeros(len(grey))
    unknowns = 5 if taped else 4
    for turn in range(rounds):
        table, weight = _model(across, place, width, blur, contrast=contrast, taped=taped)
        # The first time round there is no contrast yet, so place and width have no slope.
        table = table[:, :3] if turn == 0 else table
        weighted = table * weight[:, None, :]
        normal = weighted @ table.transpose(0, 2, 1)
        diagonal = np.arange(table.shape[1])
        normal[:, diagonal, diagonal] *= 1.0 + 1e-4
        normal[:, diagonal, diagonal] += 1e-9
        step = np.linalg.solve(normal, weighted @ grey[:, :, None])[:, :, 0]
        contrast = np.asarray(step[:, 2], dtype=np.float64)
        if table.shape[1] < unknowns:
            continue
        place = np.clip(place + np.clip(step[:, 3], -0.7, 0.7), first - 3.0, first + 3.0)
        if taped:
            width = np.clip(width + np.clip(step[:, 4], -0.7, 0.7), 0.8, 16.0)
    left = grey - (step[:, None, :] @ table)[:, 0, :]
    free = np.maximum(weight.sum(axis=1) - unknowns, 1.0)
    variance = (weight * left**2).sum(axis=1) / free
    return Fitted(
        place=place,
        sigma=np.sqrt(variance * np.linalg.inv(normal)[:, 3, 3]),
        contrast=np.abs(contrast),
        left_over=np.sqrt(variance),
    )


def _model(
    across: Array, place: Array, width: Array, blur: Array, *, contrast: Array, taped: bool
) -> tuple[Array, Array]:
    """Columns of the linear problem (n, p, m), weights (n, m).

    The columns are ground, slope, contrast, and the slopes by place and width at the present
    contrast.
    """
    t = across[None, :] - place[:, None]
    s = blur[:, None]
    size = contrast[:, None] / (_ROOT * s)
    if taped:
        one, other = (t + 0.5 * width[:, None]) / s, (t - 0.5 * width[:, None]) / s
        shape = ndtr(one) - ndtr(other)
        up, down = size * np.exp(-0.5 * one**2), size * np.exp(-0.5 * other**2)
        slopes = [down - up, 0.5 * (up + down)]
    else:
        one = t / s
        shape = ndtr(one)
        slopes = [-size * np.exp(-0.5 * one**2)]
    reach = 0.5 * width[:, None] + _MARGIN + 0.5 * s
    weight = np.maximum(1.0 - (t / reach) ** 2, 0.0) ** 2
    return np.stack([np.ones_like(t), t, shape, *slopes], axis=1), weight
