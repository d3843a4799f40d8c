"""Reads over several tables of what the carrier owns, one file for each noun. Nothing here writes."""

from fleet.selectors.units import resolve_units

__all__ = ["resolve_units"]
