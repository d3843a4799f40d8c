"""The plain form of a point, as stored and hashed: only JSON's types, decimals as text, nothing that is a default."""

from collections.abc import Mapping
from dataclasses import fields
from decimal import Decimal

from common.canonical import Plain, plain
from defects.rules.catalogue.points import Finding, Limit, Measure, Point, PointText, Raise, Source, Threshold

_Part = Point | Limit | Finding | Measure | PointText | Raise | Source | Threshold

_RENAMED = {"limits": "limit", "findings": "finding"}
"""Lists of tables are named in the singular, as the catalogue files write them."""


def point_document(point: Point) -> dict[str, Plain]:
    """The point as plain values; `points.POINT` reads the same point back."""
    return _part(point)


def decimal_text(value: Decimal) -> str:
    """One spelling per value: no exponent, no trailing zeros."""
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _part(part: _Part) -> dict[str, Plain]:
    document: dict[str, Plain] = {}
    for field in fields(part):
        value = getattr(part, field.name)
        if value is None or value is False or (isinstance(value, str | tuple | Mapping) and not value):
            continue
        document[_RENAMED.get(field.name, field.name)] = _plain(value)
    return document


def _plain(value: object) -> Plain:
    if isinstance(value, _Part):
        return _part(value)
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Decimal):
        return decimal_text(value)
    return plain(value)
