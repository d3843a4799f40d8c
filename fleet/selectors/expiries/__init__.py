"""The expiry list: papers and qualifications that end, papers missing or not known to be asked for, for one person."""

from fleet.selectors.expiries.ask import MOST_ROWS, Expiries, expiries_for, whole_list
from fleet.selectors.expiries.question import Question, Slice
from fleet.selectors.expiries.row import Expiry, Named

__all__ = ["MOST_ROWS", "Expiries", "Expiry", "Named", "Question", "Slice", "expiries_for", "whole_list"]
