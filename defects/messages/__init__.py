"""The sentences of every code that defects raises or keeps, one file for each area. Holds no logic."""

from defects.messages import clearance, dispatch, history, queries, receipts, refusals, rehearsal, repairs, words

__all__ = ["clearance", "dispatch", "history", "queries", "receipts", "refusals", "rehearsal", "repairs", "words"]
