"""Whether a JPEG file goes on to its end: a walk over its markers, without decoding.

Reference: ITU-T T.81 (ISO/IEC 10918-1), annex B.
"""

__all__ = ["jpeg_is_whole"]

_START, _END, _SCAN = 0xD8, 0xD9, 0xDA
_ALONE = {0x01, *range(0xD0, 0xD8), _START}
"""Markers without a length: they may stand anywhere."""


def jpeg_is_whole(data: bytes) -> bool:
    """Whether the first picture in the bytes has at least one scan and an end-of-image marker.

    What cameras append behind the end (previews, depth maps) is not looked at.
    """
    at, scanned = 0, False
    while True:
        at = data.find(b"\xff", at)
        if at < 0 or at + 1 >= len(data):
            return False
        marker = data[at + 1]
        if marker == _END:
            return scanned
        if marker in (0x00, 0xFF) or marker in _ALONE:
            # Stuffed data, fill bytes, restart markers.
            at += 1 if marker == 0xFF else 2
            continue
        length = int.from_bytes(data[at + 2 : at + 4], "big")
        if length < 2:
            return False
        scanned |= marker == _SCAN
        at += 2 + length
