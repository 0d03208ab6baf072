"""Points measured on the built front wing: the truth with two planted dents, noise, a new frame.

The points are those that a scan or a pin gauge would give: on the skin's outside, in the frame
of whatever the wing lay on.
"""

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.spatial.transform import Rotation
from shape import FRONT_WING, Array

__all__ = ["DENTS", "Dent", "measured", "wing_points", "write_survey"]

COUNT = 620
SIGMA = 0.3
SEED = 41
TURN = Rotation.from_euler("xyz", [8.0, -21.0, 137.0], degrees=True)
SHIFT = np.array([812.0, -1430.0, 655.0])
"""The survey's frame: p_survey = turn(p) + shift."""


@dataclass(frozen=True)
class Dent:
    """A smooth spot: its middle in the wing's u and v, its depth (negative low) and its width."""

    u: float
    v: float
    height: float
    width: float

    @property
    def centre(self) -> Array:
        """Its middle on the true skin, (3,) in vehicle axes."""
        return FRONT_WING.point(np.float64(self.u), np.float64(self.v))

    def lift(self, points: Array) -> Array:
        """Height (n,) that it adds at points (n, 3): none beyond half its width."""
        share = np.linalg.norm(points - self.centre, axis=1) / (0.5 * self.width)
        return self.height * np.where(share < 1.0, (1.0 - np.minimum(share, 1.0) ** 2) ** 2, 0.0)


DENTS = (
    Dent(u=0.98, v=-0.12, height=-6.0, width=150.0),
    Dent(u=2.25, v=0.10, height=4.0, width=115.0),
)


def wing_points(count: int, seed: int) -> tuple[Array, Array, Array]:
    """Points (n, 3) spread over the true wing, and their u and v, (n,) each."""
    wing, random = FRONT_WING, np.random.default_rng(seed)
    # Even over (u, v), thinned where the tube's circle makes the rows crowd: even on the metal.
    u = wing.middle + wing.reach * random.uniform(-1.0, 1.0, 4 * count)
    v = wing.half_width * random.uniform(-1.0, 1.0, 4 * count)
    inside = np.flatnonzero(wing.covers(u, v))[:count]
    return wing.point(u[inside], v[inside]), u[inside], v[inside]


def normals(u: Array, v: Array) -> Array:
    """Outward unit normals (n, 3) of the front wing, by central differences."""
    step = 1e-5
    along = FRONT_WING.point(u + step, v) - FRONT_WING.point(u - step, v)
    across = FRONT_WING.point(u, v + step) - FRONT_WING.point(u, v - step)
    cross = np.cross(across, along)
    cross /= np.linalg.norm(cross, axis=1, keepdims=True)
    out = FRONT_WING.point(u, v) - np.array([FRONT_WING.axle_x, FRONT_WING.centre_y, 330.0])
    return cross * np.sign(np.einsum("nd,nd->n", cross, out))[:, None]


def measured() -> tuple[Array, Array]:
    """The survey's points in its own frame (n, 3), and the true lift at each (n,)."""
    points, u, v = wing_points(COUNT, SEED)
    lift = np.sum([dent.lift(points) for dent in DENTS], axis=0)
    built = points + lift[:, None] * normals(u, v)
    noise = np.random.default_rng(SEED + 1).normal(0.0, SIGMA, built.shape)
    return TURN.apply(built) + SHIFT + noise, lift


def write_survey(folder: Path) -> None:
    """Write `survey_front_wing.csv` and `truth_survey.json`."""
    points, _ = measured()
    head = [
        "# name: front wing left as built",
        "# region: front wing",
        "# side: left",
        "# sigma: 0.3 mm",
        "x,y,z",
    ]
    rows = [",".join(f"{value:.3f}" for value in point) for point in points]
    text = "\n".join([*head, *rows]) + "\n"
    (folder / "survey_front_wing.csv").write_text(text, encoding="utf-8")
    truth = {
        "frame": "p_survey = rotation @ p + translation, p in vehicle axes before the departure",
        "rotation": TURN.as_matrix().tolist(),
        "translation": SHIFT.tolist(),
        "sigma_mm": SIGMA,
        "dents": [
            {
                "kind": "low" if dent.height < 0.0 else "high",
                "centre": np.round(dent.centre, 3).tolist(),
                "height": dent.height,
                "width": dent.width,
            }
            for dent in DENTS
        ],
    }
    (folder / "truth_survey.json").write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")
