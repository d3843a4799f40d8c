"""The sentences of every code that defects raises or keeps, one file for each area. Holds no logic."""

from common.messages import Sentences
from defects.messages import clearance, dispatch, flags, history, labels, receipts, refusals, rehearsal, repairs

SENTENCES = Sentences(
    (
        clearance.MESSAGES,
        dispatch.MESSAGES,
        history.MESSAGES,
        flags.MESSAGES,
        receipts.MESSAGES,
        refusals.MESSAGES,
        rehearsal.MESSAGES,
        repairs.MESSAGES,
    ),
    words={**labels.WORDS, **flags.WORDS},
    constraints={**dispatch.CONSTRAINTS, **repairs.CONSTRAINTS},
)
