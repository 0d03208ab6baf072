"""Why the mat was not found in a picture: one sentence, and what to do."""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from buckwright.capture.sharpness import steepest_edge, too_blurred
from buckwright.errors import JobError
from buckwright.geometry.board import dictionary_names, inner_corners
from buckwright.model.pictures import Corners, Mat

__all__ = ["other_arrangement", "well_arranged", "why_not_seen"]

_LARGE = 2400
"""px of the longer side to which a picture is reduced before it is looked at once more."""
_MARKS_THAT_TELL = 4
_SOFT_PX = 4.0
_OFF_SQUARE, _MOST = 0.3, 0.7


def why_not_seen(grey: NDArray[np.uint8], mat: Mat, *, picture: str, found: int) -> JobError:
    """The likeliest reason. `found` corners were found, too few to use."""
    dark, light = (float(v) for v in np.percentile(grey[::8, ::8], [1.0, 99.0]))
    if light < 40.0:
        return JobError(
            f"The picture {picture} is black or nearly so.", "Take it again with more light."
        )
    if dark > 215.0:
        return JobError(
            f"The picture {picture} is white all over: it was exposed far too long.",
            "Take it again, with the phone set to less light.",
        )
    if light - dark < 15.0:
        return JobError(
            f"The picture {picture} shows one even grey.",
            "Take it again; wipe the lens, and look for a finger in front of it.",
        )
    blur = steepest_edge(grey, light - dark)
    if blur > _SOFT_PX:
        return too_blurred(picture, blur)
    return _judged(_reduced(grey), mat, picture=picture, found=found)


def _judged(grey: NDArray[np.uint8], mat: Mat, *, picture: str, found: int) -> JobError:
    ours = _marks(grey, mat.dictionary)
    wanted = ours[ours < mat.marks_each * mat.cards]
    mirrored = _marks(np.ascontiguousarray(grey[:, ::-1]), mat.dictionary)
    if len(mirrored) >= max(_MARKS_THAT_TELL, 2 * len(ours)):
        return JobError(
            f"The picture {picture} shows the mat mirrored.",
            "Check whether the picture was flipped, or the mat printed on the back of film; "
            "take it again as the phone sees it.",
        )
    if len(wanted) >= _MARKS_THAT_TELL:
        return _marks_without_corners(picture, found)
    if len(ours) >= _MARKS_THAT_TELL or _marks_of_another_kind(grey, mat):
        return JobError(
            f"The picture {picture} shows another mat than the one of this job.",
            "Say which mat the pictures show, or leave the picture out.",
        )
    seen = "does not show" if found == 0 else f"shows only {found} corners of"
    return JobError(
        f"The picture {picture} {seen} the mat.",
        "Leave it out, or take it again with more of the mat sharp and in view.",
    )


def _marks_without_corners(picture: str, found: int) -> JobError:
    if found == 0:
        return other_arrangement(picture)
    return JobError(
        f"The picture {picture} shows only {found} corners of the mat.",
        "Take it again from where the model hides less of the mat, or from nearer.",
    )


def other_arrangement(picture: str) -> JobError:
    """What to say of marks that are ours, but stand in other places."""
    return JobError(
        f"The picture {picture} shows marks of the mat in another arrangement than that of this "
        "job.",
        "Say which mat the pictures show: its columns and rows are printed on its edge; print one "
        "of this program if it has an even number of rows.",
    )


def well_arranged(corners: Corners, mat: Mat) -> bool:
    """Whether most corners lie, to a third of a square, where one plane map puts them."""
    good = 0
    for card in np.unique(corners.ids // mat.corners_each):
        mine = corners.ids // mat.corners_each == card
        px = np.asarray(corners.px)[mine]
        flat = inner_corners(mat.squares, mat.square_mm)[corners.ids[mine] % mat.corners_each, :2]
        side = float(np.median(cKDTree(px).query(px, k=2)[0][:, 1]))
        _, inside = cv2.findHomography(flat, px, cv2.RANSAC, max(_OFF_SQUARE * side, 3.0))
        good += 0 if inside is None else int(np.count_nonzero(inside))
    return good >= _MOST * len(corners.ids)


def _reduced(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    share = _LARGE / max(grey.shape)
    if share >= 1.0:
        return grey
    return np.asarray(cv2.resize(grey, None, fx=share, fy=share, interpolation=cv2.INTER_AREA))


def _marks(grey: NDArray[np.uint8], dictionary: str) -> NDArray[np.int64]:
    book = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary))
    _, numbers, _ = cv2.aruco.ArucoDetector(book).detectMarkers(grey)
    return np.zeros(0, np.int64) if numbers is None else np.unique(numbers).astype(np.int64)


def _marks_of_another_kind(grey: NDArray[np.uint8], mat: Mat) -> bool:
    """Whether marks of a usual dictionary of another size are seen."""
    known = dictionary_names()
    size = mat.dictionary.split("_")[1]
    others = [f"DICT_{kind}_250" for kind in ("4X4", "5X5", "6X6", "7X7") if kind != size]
    return any(len(_marks(grey, name)) >= 8 for name in others if name in known)
