"""Which meters a unit of a kind can have. Readings and their limits are in `meters`."""

from collections.abc import Mapping

METERS_OF_KIND: Mapping[str, frozenset[str]] = {
    "tractor": frozenset({"odometer_mi", "engine_h"}),
    "trailer": frozenset({"odometer_mi"}),
    "cooling_unit": frozenset({"engine_h", "standby_h"}),
}
"""Common practice, no source: a trailer's odometer sits in a hub, a cooling unit counts engine and standby hours."""


def has_meter(kind: str, meter: str) -> bool:
    """Whether a unit of this kind can have this meter."""
    return meter in METERS_OF_KIND[kind]
