"""OpenCV adding up in one order, so that the same input gives the same output.

Its solvers spread sums over threads and add what comes first; the last digits then differ from run
to run, and a choice between two answers that are all but equal may fall otherwise.
"""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

import cv2

__all__ = ["opencv_in_order"]

_ONE_AT_A_TIME = threading.Lock()


@contextmanager
def opencv_in_order() -> Iterator[None]:
    """One thread for what OpenCV does inside, as many as before afterwards."""
    with _ONE_AT_A_TIME:
        before = cv2.getNumThreads()
        cv2.setNumThreads(1)
        try:
            yield
        finally:
            cv2.setNumThreads(before)
