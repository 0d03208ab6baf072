"""Numbers for the page in binary: JSON of the same would be twice as long and dearer to read.

A frame is: the header's length as unsigned 32-bit little-endian; the header, JSON in UTF-8,
padded with spaces to a multiple of four bytes; the arrays, 32-bit little-endian. The header is
{"about": ..., "arrays": {name: [type, first byte after the header, count]}} with type 'f' (float)
or 'u' (unsigned).
"""

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["pack_frame"]


def pack_frame(about: object, arrays: Mapping[str, NDArray[Any]]) -> bytes:
    """The frame of these arrays, each flattened row by row."""
    table: dict[str, tuple[str, int, int]] = {}
    parts, place = [], 0
    for name, array in arrays.items():
        kind = "u" if np.issubdtype(array.dtype, np.integer) else "f"
        part = np.ascontiguousarray(array, dtype="<u4" if kind == "u" else "<f4").tobytes()
        table[name] = (kind, place, array.size)
        parts.append(part)
        place += len(part)
    header = json.dumps({"about": about, "arrays": table}).encode()
    header += b" " * (-len(header) % 4)
    return b"".join([len(header).to_bytes(4, "little"), header, *parts])
