"""The small cab with cameras all round it, and the outline of its lines traced in each picture."""

import numpy as np
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from buckwright.capture.drawnback import picture_points
from buckwright.model.job import step_digests
from buckwright.model.pictures import Trace
from buckwright.store import JobFile
from web.small_cab_job import make_cab_file

AWAY = 900.0
"""mm of the model from its middle to each camera."""


def _turned_to(picture, middle, turn, rise):
    """The same camera, looking at the middle from elsewhere."""
    way = np.array([np.cos(turn) * np.cos(rise), np.sin(turn) * np.cos(rise), np.sin(rise)])
    right = np.cross(-way, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    rotation = np.stack([right, np.cross(-way, right), -way])
    pose = {
        "rotation_vector": Rotation.from_matrix(rotation).as_rotvec(),
        "translation": -rotation @ (middle + AWAY * way),
    }
    return picture.model_copy(update=pose)


def make_outlined_cab_file(path, make=make_cab_file):
    """The job that `make` makes, with outlines."""
    make(path)
    with JobFile.open(path) as file:
        job, products = file.job(), file.products()
        placement = products.lines.placement
        points = np.vstack([line.points(200) for line in products.lines.reference.lines])
        mat = points @ placement.rotation / placement.scale + placement.origin
        middle = 0.5 * (mat.min(axis=0) + mat.max(axis=0))
        count = len(products.calibration.pictures)
        pictures = tuple(
            _turned_to(picture, middle, 2.0 * np.pi * k / count, 0.15 + 0.5 * (k % 2))
            for k, picture in enumerate(products.calibration.pictures)
        )
        traces = []
        for picture in pictures:
            px, seen = picture_points(points, placement, picture)
            assert seen.all(), picture.name
            ring = px[ConvexHull(px).vertices]
            traces.append(
                Trace(line="outline", picture=picture.name, px=ring, kind="silhouette", closed=True)
            )
        file.change("outlines", job.model_copy(update={"traces": (*job.traces, *traces)}))
        solved = products.calibration.model_copy(update={"pictures": pictures})
        digests = step_digests(file.job())
        steps = ("pictures", "lines") if products.skin is None else ("pictures", "lines", "skin")
        kept = {step: digests[step] for step in steps}
        file.keep_products(products.model_copy(update={"calibration": solved}), kept)
