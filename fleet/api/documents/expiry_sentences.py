"""What an expiry says to a person: its state as a sentence, and whose it is in words of the reader."""

from collections.abc import Mapping

from common.messages import Message, render
from fleet.rules.documents.states import DocumentState
from fleet.selectors.documents.expiries.expiry import Expiry

TITLES: Mapping[str, str] = {DocumentState.MISSING: "expiry_task", DocumentState.NOT_KNOWN: "expiry_undecided"}
"""What a calendar shows of what has no day."""


def sentence(row: Expiry, language: str) -> str:
    """Return what the document is today, in one sentence."""
    code = "expiry_in_grace" if row.in_grace else f"expiry_{row.status}"
    facts = {"day": row.day, "last_day": row.last_day, "grace_until": row.grace_until}
    return render(Message(code, facts), language)


def kind_in_words(row: Expiry, language: str) -> str:
    return row.kind.text.get(language, row.kind.text["en"])


def whose(row: Expiry, language: str) -> str:
    """Return the unit, the person or the carrier."""
    return row.whose or render(Message("expiry_of_carrier"), language)


def title(row: Expiry, language: str) -> str:
    """Return the line that a calendar shows."""
    code = TITLES.get(row.status, "expiry_event")
    return render(Message(code, {"whose": whose(row, language), "kind": kind_in_words(row, language)}), language)


def details(row: Expiry, language: str) -> str:
    """Return what else a calendar tells, one fact a line."""
    facts: dict[str, dict[str, object]] = {
        "expiry_named": {"number": row.number},
        "expiry_state": {"us_state": row.us_state},
        "expiry_by_day": {"ends_on": row.ends_on},
        "expiry_by_month": {"ends_on_month": row.ends_on_month},
        "expiry_grace": {"grace_until": row.grace_until},
        "expiry_source": {"source": row.kind.source.text},
    }
    complete = {code: each for code, each in facts.items() if all(each.values())}
    return "\n".join(render(Message(code, each), language) for code, each in complete.items())
