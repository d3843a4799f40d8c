"""How a picture was held (TIFF 6.0, tag 274): the one note that it cannot be shown right without. Knows no form."""

import struct
from typing import Final

UPRIGHT: Final = 1
_TAG, _SHORT = 0x0112, 3
_ORDERS = {b"II*\0": "<", b"MM\0*": ">"}
_WAYS = range(1, 9)
_MAX_ENTRIES = 1000


def orientation_in(notes: bytes) -> int:
    """Return 1 to 8 as the camera's notes say; upright where they cannot be read, for they are often malformed."""
    order = _ORDERS.get(notes[:4])
    if order is None:
        return UPRIGHT
    try:
        (start,) = struct.unpack_from(f"{order}I", notes, 4)
        (entries,) = struct.unpack_from(f"{order}H", notes, start)
        for entry in range(min(entries, _MAX_ENTRIES)):
            tag, kind, count, value = struct.unpack_from(f"{order}HHIH", notes, start + 2 + 12 * entry)
            if tag == _TAG:
                return value if (kind, count) == (_SHORT, 1) and value in _WAYS else UPRIGHT
    except struct.error:
        return UPRIGHT
    return UPRIGHT


def only_orientation(value: int) -> bytes:
    """Return notes that say how the picture was held and nothing else."""
    return struct.pack("<2sHIHHHIHHI", b"II", 42, 8, 1, _TAG, _SHORT, 1, value, 0, 0)
