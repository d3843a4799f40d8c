"""The sentences of every code that fleet raises or keeps, one file for each area. Holds no logic."""

from fleet.messages import history, keeping, papers, people, rehearsal, tables, units, words

__all__ = ["history", "keeping", "papers", "people", "rehearsal", "tables", "units", "words"]
