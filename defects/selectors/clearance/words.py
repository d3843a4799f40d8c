"""Reasons and unknowns in a person's language: the code's sentence, filled with the facts named for people."""

from collections.abc import Mapping
from typing import Any

from common import messages
from common.messages import Message
from defects.rules.catalogue import Catalogue
from defects.rules.places import describe
from defects.selectors.words import language_of, title_of
from fleet.rules.documents import load_document_kinds


def reason_words(row: Mapping[str, Any], catalogue: Catalogue, language: str) -> str:
    """The sentence of one stored reason or unknown; its code is registered as `clearance_<code>`."""
    return _words("clearance", row, catalogue, language)


def ending_words(row: Mapping[str, Any], catalogue: Catalogue, language: str) -> str:
    """The sentence of what first ends an answer; its code is registered as `ending_<code>`."""
    return _words("ending", row, catalogue, language)


def _words(prefix: str, row: Mapping[str, Any], catalogue: Catalogue, language: str) -> str:
    facts = dict(row["facts"])
    facts["unit"] = row["unit"]
    if "point" in facts:
        facts["what"] = _what(str(facts["point"]), str(facts.get("place", "")), catalogue, language)
    if "document" in facts:
        kind = load_document_kinds().get(str(facts["document"]))
        facts["document"] = facts["document"] if kind is None else kind.text[str(language_of(language))]
    for name in ("why", "area"):
        if name in facts:
            facts[name] = Message(f"{name}_{facts[name]}")
    return messages.render(Message(f"{prefix}_{row['code']}", facts), language).strip()


def end_words(row: Mapping[str, Any], language: str) -> str:
    """What ends a reason; registered as `ends_<ends_when>`."""
    return messages.render(Message(f"ends_{row['ends_when']}", {"unit": row["unit"], **row["facts"]}), language)


def _what(point: str, place: str, catalogue: Catalogue, language: str) -> str:
    title = title_of(catalogue.get(point), point, language)
    return f"{title}, {describe(place, language_of(language))}" if place else title
