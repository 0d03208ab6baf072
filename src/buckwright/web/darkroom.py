"""Pictures for tracing: grey values to snap on, and tiles to show at any nearness."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from buckwright.capture.profiles import Kind
from buckwright.capture.snapping import Snapped, joined, snap_stretches
from buckwright.errors import FileError
from buckwright.files.photographs import read_colours, read_picture_bytes

__all__ = ["TILE", "Darkroom"]

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]

TILE = 512
"""px along the side of a tile, at every level."""
_KEPT_PICTURES, _KEPT_STRETCHES = 4, 4000
_QUALITY = 90
_MOST_LEVELS = 8


class Darkroom:
    """Decoded pictures, the last few of them; safe to use from several threads."""

    def __init__(self, picture_bytes: Callable[[str], bytes]) -> None:
        self._bytes = picture_bytes
        self._lock, self._snapping = threading.Lock(), threading.Lock()
        self._colours: OrderedDict[str, NDArray[np.uint8]] = OrderedDict()
        self._greys: OrderedDict[str, Grey] = OrderedDict()
        self._stretches: OrderedDict[tuple[object, ...], Snapped] = OrderedDict()

    def grey(self, digest: str) -> Grey:
        """Brightness (rows, columns) of the picture as stored. Raises FileError."""
        with self._lock:
            if digest not in self._greys:
                _, grey = read_picture_bytes(self._bytes(digest), name="to be traced")
                self._greys[digest] = grey
                _shorten(self._greys, _KEPT_PICTURES)
            self._greys.move_to_end(digest)
            return self._greys[digest]

    def prepare(self, digest: str) -> None:
        """Have the grey values ready; what is wrong with the picture is told when it is snapped."""
        with suppress(FileError):
            self.grey(digest)

    def tile(self, digest: str, level: int, column: int, row: int) -> bytes | None:
        """A JPEG of one tile; None where there is none.

        At level k each of its pixels is the mean of 2^k by 2^k; tiles begin at the picture's
        corner. The last tile of a row covers what is left.
        """
        if not 0 <= level < _MOST_LEVELS:
            return None
        with self._lock:
            colours = self._developed(digest)
        side = TILE << level
        part = colours[row * side : (row + 1) * side, column * side : (column + 1) * side]
        if part.size == 0:
            return None
        if level:
            height, width = (max(1, -(-n >> level)) for n in part.shape[:2])
            small = cv2.resize(part, (width, height), interpolation=cv2.INTER_AREA)
            part = np.asarray(small, dtype=np.uint8)
        backwards = np.ascontiguousarray(part[:, :, ::-1])
        done, data = cv2.imencode(".jpg", backwards, [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
        return bytes(data) if done else None

    def snap(
        self, digest: str, clicks: Array, stretches: Sequence[int], *, kind: Kind, closed: bool
    ) -> list[Snapped]:
        """`snap_stretches` of a picture; what was snapped before is not done again."""
        keys = [_key(digest, clicks, k, kind=kind, closed=closed) for k in stretches]
        # One at a time: whoever asks for the same meanwhile finds it done.
        with self._snapping:
            missing = [
                (k, key)
                for k, key in zip(stretches, keys, strict=True)
                if key not in self._stretches
            ]
            if missing:
                grey, wanted = self.grey(digest), [k for k, _ in missing]
                new = snap_stretches(grey, clicks, wanted, kind=kind, closed=closed)
                for (_, key), snapped in zip(missing, new, strict=True):
                    self._stretches[key] = snapped
            found = [self._stretches[key] for key in keys]
            _shorten(self._stretches, _KEPT_STRETCHES)
        return found

    def whole(self, digest: str, clicks: Array, *, kind: Kind, closed: bool) -> Snapped:
        """The whole trace from click to click."""
        count = len(clicks) if closed else len(clicks) - 1
        pieces = self.snap(digest, clicks, range(count), kind=kind, closed=closed)
        return joined(pieces, closed=closed)

    def _developed(self, digest: str) -> NDArray[np.uint8]:
        if digest not in self._colours:
            self._colours[digest] = read_colours(self._bytes(digest), name="to be traced")
            _shorten(self._colours, _KEPT_PICTURES)
        self._colours.move_to_end(digest)
        return self._colours[digest]


def _key(digest: str, clicks: Array, k: int, *, kind: Kind, closed: bool) -> tuple[object, ...]:
    """Everything that a stretch depends on: the picture, the kind, and its four clicks."""
    count = len(clicks)
    around = [n % count if closed else n for n in range(k - 1, k + 3)]
    four = tuple(tuple(clicks[n]) if 0 <= n < count else None for n in around)
    # Where a click is missing the trace ends. Findings name their clicks by number.
    return digest, kind, k, count if closed and k + 1 == count else 0, four


def _shorten(kept: "OrderedDict[Any, Any]", most: int) -> None:
    while len(kept) > most:
        kept.popitem(last=False)
