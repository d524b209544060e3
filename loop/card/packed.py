"""Tables packed into one short text for the card's script; `static/unpacked.js` unpacks it."""

import base64
import json
import zlib
from typing import Any

import numpy as np

Bytes = np.ndarray[tuple[int, ...], np.dtype[np.uint8]]


def packed(tables: dict[str, Any]) -> str:
    """Tables of plain values and arrays, as in `loop.diagnose.tables`; base64 of zlib.

    What is compressed: the length of the JSON in four bytes, little-endian; the JSON, in which
    shape and offset stand for each array; and the arrays. An array is stored by byte planes (all
    first bytes, then all second bytes and so on) and column by column, because the severities of a
    fault are adjacent there and read alike. An array with the name and shape of an earlier one is
    stored as its XOR with that: at another speed few faults read differently.
    """
    arrays = _Arrays()
    text = json.dumps(arrays.taken_from(tables, ""), separators=(",", ":")).encode("ascii")
    whole = len(text).to_bytes(4, "little") + text + b"".join(arrays.parts)
    return base64.b64encode(zlib.compress(whole, 9)).decode("ascii")


class _Arrays:
    """Bytes of the arrays collected so far."""

    def __init__(self) -> None:
        self.parts: list[bytes] = []
        self.length = 0
        self.last: dict[tuple[Any, ...], Bytes] = {}

    def taken_from(self, value: Any, name: str) -> Any:
        """The value, with shape and offset in place of each array."""
        if isinstance(value, list):
            return [self.taken_from(one, name) for one in value]
        if not isinstance(value, dict):
            return value
        if "float32" not in value:
            return {key: self.taken_from(one, key) for key, one in value.items()}
        numbers = np.frombuffer(base64.b64decode(value["float32"]), dtype="u1")
        begins, shape = self.length, value["shape"]
        self.length += numbers.size
        before = self.last.get((name, *shape))
        self.last[name, *shape] = numbers
        apart = numbers if before is None else numbers ^ before
        self.parts.append(apart.reshape(shape[0], -1, 4).transpose(2, 1, 0).tobytes())
        return {"begins": begins, "shape": shape}
