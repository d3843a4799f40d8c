"""What notices say: their sentences, and the message a person gets. Holds nothing of who is told, or when."""

from fleet.notice_texts import papers, sentences
from fleet.notice_texts.letters import Letter, Reader, sentence_of, worded_facts, write_letter
from fleet.notice_texts.order import as_told, in_order

__all__ = [
    "Letter",
    "Reader",
    "as_told",
    "in_order",
    "papers",
    "sentence_of",
    "sentences",
    "worded_facts",
    "write_letter",
]
