"""Make the photographs, traces and survey of the example 'Wren' from its known truth.

Everything is frozen: the same files come out every time. `truth.json` holds the true lines,
`truth_cameras.json` where the cameras stood, `truth_survey.json` what is wrong with the wing.
"""

import argparse
import json
from pathlib import Path
from time import perf_counter

import cv2
import numpy as np
from lens import DISTORTION, SIZE, Camera, cameras
from outlines import hand_outlines, marked_points, points_on_model
from paper import SQUARES, inner_corners, write_mat
from scipy.spatial.transform import Rotation
from shape import SCALE, WHEELBASE
from studio import Placing, Studio, picture
from survey import write_survey
from tracing import hand_traces, true_pieces

__all__ = ["AIM", "main"]

HERE = Path(__file__).parent
AIM = np.array([287.0, -197.0, 88.0])
"""The middle of the model in the mat frame."""
QUALITY = 90
NOISE_SEED, WOBBLE_SEED = 700, 5
OUTLINE_SEED, MARK_SEED = 6, 7


def main(arguments: list[str] | None = None) -> None:
    """Write what the arguments ask for."""
    args = _arguments(arguments)
    args.out.mkdir(parents=True, exist_ok=True)
    write_mat(args.out)
    write_survey(args.out)
    placing = Placing.on_mat()
    stands = cameras(AIM)
    _write_cameras(args.out, placing, stands)
    studio = Studio(placing, directions=1 if args.no_pictures else 400)
    _write_traces(args.out, studio, stands)
    if args.no_pictures:
        return
    folder = args.out / "pictures"
    folder.mkdir(exist_ok=True)
    for number, camera in enumerate(stands):
        if args.only and number + 1 not in args.only:
            continue
        began = perf_counter()
        image = picture(studio, camera, noise_seed=NOISE_SEED + number, shrink=args.shrink)
        cv2.imwrite(str(folder / camera.name), image, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
        size = (folder / camera.name).stat().st_size / 1e6
        print(f"{camera.name}: {size:.2f} MB, {perf_counter() - began:.0f} s", flush=True)


def _arguments(arguments: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=HERE, help="folder to write into")
    parser.add_argument("--only", type=int, nargs="*", help="numbers of the pictures to make")
    parser.add_argument(
        "--shrink", type=int, default=1, help="n: pictures smaller by n, for a look"
    )
    parser.add_argument("--no-pictures", action="store_true", help="only the other files")
    return parser.parse_args(arguments)


def _write_cameras(folder: Path, placing: Placing, stands: tuple[Camera, ...]) -> None:
    corners = inner_corners()
    columns = SQUARES[0] - 1
    content = {
        "frame": "mm; origin at the mat's top-left outer corner, x right along the columns, "
        "y up the page (rows run along -y), z up; p_camera = rotation @ p_mat + translation",
        "model_on_mat": {
            "is": "p_mat = scale * rotation @ p + translation, p in vehicle axes, no departure",
            "scale": 1.0 / SCALE,
            "rotation": placing.rotation.tolist(),
            "translation": placing.shift.tolist(),
        },
        "wheelbase": WHEELBASE,
        "distortion": DISTORTION.tolist(),
        "pictures": [
            {
                "name": camera.name,
                "size": list(SIZE),
                "rotation_vector": Rotation.from_matrix(camera.rotation).as_rotvec().tolist(),
                "translation": camera.translation.tolist(),
                "centre": camera.centre.tolist(),
                "focal": camera.focal,
                "principal": camera.principal.tolist(),
            }
            for camera in stands
        ],
        "marked_points": {
            name: np.round(place, 4).tolist() for name, (place, _) in points_on_model().items()
        },
        "mat_points": [
            {"id": k, "column": k % columns + 1, "row": k // columns + 1, "mm": p.tolist()}
            for k, p in enumerate(np.round(corners, 6))
        ],
    }
    path = folder / "truth_cameras.json"
    path.write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8")


def _write_traces(folder: Path, studio: Studio, stands: tuple[Camera, ...]) -> None:
    traces = {
        **hand_traces(true_pieces(studio, stands), wobble_seed=WOBBLE_SEED),
        **hand_outlines(studio, stands, wobble_seed=OUTLINE_SEED),
        **marked_points(studio, stands, wobble_seed=MARK_SEED),
    }
    text = json.dumps({"traces": traces})
    (folder / "traces.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
