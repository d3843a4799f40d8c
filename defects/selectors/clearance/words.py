"""Reasons and unknowns in a person's language: the code's sentence, filled with the facts named for people."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from common import messages
from common.messages import Message
from defects.rules.catalogue import Catalogue
from defects.rules.clearance import Code
from defects.rules.naming import NamedFault
from defects.rules.places import describe
from defects.selectors.words import language_of, what_of_fault
from fleet.rules.documents import load_document_kinds

QUERIED = "queried"


def reason_words(row: Mapping[str, Any], catalogue: Catalogue, language: str) -> str:
    """The sentence of one stored reason or unknown; its code is registered as `clearance_<code>`."""
    return _words("clearance", row["code"] + _variant(row["code"], row["facts"]), row, catalogue, language)


def ending_words(row: Mapping[str, Any], catalogue: Catalogue, language: str) -> str:
    """The sentence of what first ends an answer; its code is registered as `ending_<code>`."""
    return _words("ending", row["code"], row, catalogue, language)


def end_words(row: Mapping[str, Any], language: str) -> str:
    """What ends a reason; registered as `ends_<ends_when>`."""
    return messages.render(Message(f"ends_{row['ends_when']}", {"unit": row["unit"], **row["facts"]}), language)


def _variant(code: str, facts: Mapping[str, Any]) -> str:
    """What to add to a code whose facts say more than its plain sentence does."""
    if facts.get("reason"):
        return "_because"
    if code == Code.FUEL_TO_ADD and facts["more_than_the_tank_holds"]:
        return "_beyond_tank"
    return "_queried" if code == Code.AREA_NOT_REACHED and facts["why"] == QUERIED else ""


def _words(prefix: str, code: str, row: Mapping[str, Any], catalogue: Catalogue, language: str) -> str:
    facts = {**row["facts"], "unit": row["unit"]}
    if "point" in facts:
        facts["what"] = _what(facts, catalogue, language)
    if "document" in facts:
        facts.update(_paper(str(facts["document"]), row["unit"], language))
    if "places" in facts:
        facts["places"] = [_on_unit(place, language) for place in facts["places"]]
    for name in ("why", "area"):
        if name in facts:
            facts[name] = Message(f"{name}_{facts[name]}")
    return messages.render(Message(f"{prefix}_{code}", facts), language)


def _what(facts: Mapping[str, Any], catalogue: Catalogue, language: str) -> str:
    """The name of the defect that the facts tell of; an answer from before they held the finding names the thing."""
    value, limit = (Decimal(facts[name]) if name in facts else None for name in ("value", "limit"))
    fault = NamedFault(
        point=facts["point"],
        place=facts.get("place", ""),
        text=facts.get("text", ""),
        finding=facts.get("finding", ""),
        value=value,
        unit_of_measure=facts.get("unit_of_measure", ""),
        limit_value=limit,
    )
    return what_of_fault(fault, catalogue, language)


def _paper(name: str, unit: str, language: str) -> dict[str, object]:
    """What a paper is called and, where it is no unit's, whose it is."""
    kind = load_document_kinds().get(name)
    if kind is None:
        return {"document": name}
    named: dict[str, object] = {"document": kind.text[str(language_of(language))]}
    if not unit:
        named["unit"] = Message("paper_of_carrier" if "carrier" in kind.applies_to else "paper_of_person")
    return named


def _on_unit(text: str, language: str) -> str:
    """A unit and a place on it, "NL-11 axle-1-left", as people say it."""
    unit, _, place = text.rpartition(" ")
    return f"{unit} {describe(place, language_of(language))}".strip()
