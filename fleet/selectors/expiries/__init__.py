"""The expiry list: papers that end and papers that are missing, as one person may see them on a day."""

from fleet.selectors.expiries.ask import MOST_ROWS, Expiries, expiries_for, whole_list
from fleet.selectors.expiries.question import Question, Slice
from fleet.selectors.expiries.row import Expiry, Named

__all__ = ["MOST_ROWS", "Expiries", "Expiry", "Named", "Question", "Slice", "expiries_for", "whole_list"]
