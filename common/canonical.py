"""One spelling of a value: as plain JSON, as canonical bytes, and as a hash of them. Holds no storage."""

import hashlib
import json
import uuid
from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import TypeAlias

Plain: TypeAlias = "bool | int | str | list[Plain] | dict[str, Plain] | None"


def canonical_json(value: object) -> bytes:
    """UTF-8 JSON with sorted keys and no white space; equal values give equal bytes, also of texts that are no UTF-8.

    Decimals, dates, instants and UUIDs become strings. TypeError for a float (its spelling is not the value's), an
    unknown type or a key that is no string; ValueError for a Decimal without a value or an instant without an offset.
    """
    text = json.dumps(plain(value), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return text.encode(errors="surrogatepass")


def sha256_hex(content: bytes | str) -> str:
    """Return the SHA-256 of bytes, or of a text's UTF-8 bytes, as 64 lower-case hexadecimal digits."""
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


def plain(value: object) -> Plain:
    """Return the same value made of JSON's own types alone, without floats; errors as in `canonical_json`."""
    if isinstance(value, Mapping):
        return {
            # most are as they should be, and a call is dear
            key if type(key) is str else _key(key): item if type(item) in _AS_THEY_ARE else plain(item)
            for key, item in value.items()
        }
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, str):
        return str.__str__(value)
    if isinstance(value, AbstractSet):
        return sorted((plain(item) for item in value), key=canonical_json)
    return _scalar(value)


_AS_THEY_ARE = frozenset({str, int, bool, type(None)})


def in_utc(instant: datetime) -> str:
    """Return an instant as answers write it: RFC 3339 in UTC, with Z; `plain` keeps the offset that it came with."""
    return f"{instant.astimezone(UTC).replace(tzinfo=None).isoformat()}Z"


def _scalar(value: object) -> str:
    if isinstance(value, Decimal):
        if not value.is_finite():
            msg = "a decimal without a value has no spelling"
            raise ValueError(msg)
        return str(value)
    if isinstance(value, datetime):
        if value.utcoffset() is None:
            msg = "an instant needs its offset"
            raise ValueError(msg)
        return value.isoformat()
    if isinstance(value, date | uuid.UUID):
        return value.isoformat() if isinstance(value, date) else str(value)
    msg = f"no canonical spelling for {type(value).__name__}"
    raise TypeError(msg)


def _key(key: object) -> str:
    if not isinstance(key, str):
        msg = f"a key must be a string, not {type(key).__name__}"
        raise TypeError(msg)
    return key
