"""Reasons and unknowns in a person's language: the code's sentence, filled with the facts named for people."""

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from decimal import Decimal
from typing import Any

from common import messages
from common.messages import Message, of_stored
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.places import NamedFault, describe
from defects.rules.clearance.codes import Code, EndsWhen
from defects.selectors.defects.naming import language_of, put_right_of, what_of_fault
from fleet.rules.documents.loading import load_document_kinds
from fleet.selectors.units.whereabouts import FACTS, left_messages

logger = logging.getLogger(__name__)

FLAGGED = "flagged"
LIMITS = {"limit_on": "", "limit_mi": "mi", "limit_engine_h": "h"}
"""The limits of a certificate that repair is unnecessary, each with its unit of measure."""


@dataclass(frozen=True)
class Reader:
    """Whom an answer is worded for: the language, and the carrier's catalogue and zone."""

    catalogue: Catalogue
    zone: tzinfo
    language: str

    def says(self, code: str, **facts: object) -> str:
        """A registered sentence; instants given as they are stored, as texts, are shown in the carrier's zone."""
        return messages.render(Message(code, self._localised(facts)), self.language)

    def says_stored(self, prefix: str, word: str, facts: Mapping[str, object], *, variant: str = "") -> str:
        """The same of a code word that was stored: its sentence is registered as `prefix_word`."""
        return messages.render(of_stored(prefix, word, self._localised(facts), variant=variant), self.language)

    def _localised(self, facts: Mapping[str, object]) -> dict[str, object]:
        return {name: self._local(name, value) for name, value in facts.items()}

    def _local(self, name: str, value: object) -> object:
        is_instant = name.endswith("_at") and isinstance(value, str)
        return datetime.fromisoformat(str(value)).astimezone(self.zone) if is_instant else value


def reason_words(row: Mapping[str, Any], reader: Reader) -> str:
    """The sentence of one stored reason, unknown or thing left open; its code is registered as `clearance_<code>`.

    When it is expected to end is said behind it, where that is known. Of one that cannot be worded, that.
    """
    return _said(row, reader, _reason)


def ending_words(row: Mapping[str, Any], reader: Reader) -> str:
    """The sentence of what first ends an answer; its code is registered as `ending_<code>`."""
    return _said(row, reader, lambda row, reader: _words("ending", row, reader))


def _said(row: Mapping[str, Any], reader: Reader, words: Callable[[Mapping[str, Any], Reader], str]) -> str:
    try:
        return words(row, reader)
    except Exception:  # whatever stands in one row, the others are worded
        logger.exception("what stands against %s cannot be worded: %s", row["unit"], row["code"])
        return reader.says(f"clearance_{Code.RECORD_UNREADABLE}", unit=row["unit"])


def _reason(row: Mapping[str, Any], reader: Reader) -> str:
    said = _words("clearance", row, reader, _variant(row))
    expected_at = row.get("expected_at")
    return f"{said} {reader.says('clearance_expected', expected_at=expected_at)}" if expected_at else said


def end_words(row: Mapping[str, Any], language: str) -> str:
    """What ends a reason; registered as `ends_<ends_when>`."""
    return messages.render(of_stored("ends", row["ends_when"], {"unit": row["unit"], **row["facts"]}), language)


BY_MILES = {"driven_mi": "_driven", "miles": "_by_miles"}


def _variant(row: Mapping[str, Any]) -> str:
    """What to add to a code whose facts say more than its plain sentence does."""
    code, facts = row["code"], row["facts"]
    if facts.get("reason") or ("hold" in facts and "point" in facts):
        return "_photo_awaited" if facts.get("photo_awaited") else "_because"
    if facts.get("conditions"):
        return "_on_conditions"
    if code == Code.DEFECT_DEFERRED:
        return "" if LIMITS.keys() & facts.keys() else "_without_limit"
    if code == Code.FOOD_DEFECT and row["ends_when"] == EndsWhen.ANSWERED_AGAIN:
        return "_put_right"
    if code in {Code.FUEL_TO_ADD, Code.PRE_COOL}:
        return _cooling_variant(code, facts)
    by_miles = next((variant for name, variant in BY_MILES.items() if name in facts), "")
    return by_miles or _work_or_look_variant(code, facts)


def _work_or_look_variant(code: str, facts: Mapping[str, Any]) -> str:
    if code in {Code.COLD_WORK_IN_PROGRESS, Code.COLD_WORK_LOAD_UNKNOWN}:
        return "_paused" if facts.get("undone") else ""
    if "holes" in facts:
        return "_rearward" if facts["rearward"] else "_forward"
    if code == Code.NO_ANSWER_RECORDED:
        return "_more" if facts.get("count", 0) > len(facts.get("points", ())) else ""
    return "_flagged" if code == Code.AREA_NOT_REACHED and facts["why"] == FLAGGED else ""


def _cooling_variant(code: str, facts: Mapping[str, Any]) -> str:
    if code == Code.PRE_COOL:
        return "_by" if "start_at" in facts else "_late" if "cold_at" in facts else ""
    if facts["more_than_the_tank_holds"]:
        return "_beyond_tank"
    return "_with_reserve" if facts.get("reserve_gal") else ""


def _words(prefix: str, row: Mapping[str, Any], reader: Reader, variant: str = "") -> str:
    language = reader.language
    facts = {**row["facts"], "unit": row["unit"]}
    if "point" in facts:
        facts["what"] = _what(facts, reader.catalogue, language)
        facts["put_right"] = put_right_of(str(facts["point"]), reader.catalogue, language)
    if "hold" in facts:
        facts["reason"] = str(facts.get("reason") or facts.get("what", "")).rstrip(" .")
    facts["limits"] = [f"{facts[name]} {of}".strip() for name, of in LIMITS.items() if name in facts]
    if "document" in facts:
        facts.update(_document(str(facts["document"]), row["unit"], language))
    if row["code"] == Code.UNIT_LEFT:
        said = left_messages(row["unit"], {**dict.fromkeys(FACTS), **facts}, reader.zone)
        facts["left"] = " ".join(messages.render(message, language) for message in said)
    if "places" in facts:
        facts["places"] = [_on_unit(place, language) for place in facts["places"]]
    if "points" in facts:
        named = facts["points"][:1] if variant == "_more" else facts["points"]
        facts["points"] = "; ".join(_thing(point, reader.catalogue, language) for point in named)
    for name in ("why", "area"):
        if name in facts:
            facts[name] = of_stored(name, facts[name])
    return reader.says_stored(prefix, row["code"], facts, variant=variant)


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


def _thing(text: str, catalogue: Catalogue, language: str) -> str:
    """What is looked at at a point and place, "tires.trailer.body axle-1-left-outer", as people say it."""
    name, _, place = text.partition(" ")
    return what_of_fault(NamedFault(point=name, place=place), catalogue, language)


def _document(name: str, unit: str, language: str) -> dict[str, object]:
    """What a document is called and, where it is no unit's, whose it is."""
    kind = load_document_kinds().get(name)
    if kind is None:
        return {"document": name}
    named: dict[str, object] = {"document": kind.text[str(language_of(language))]}
    if not unit:
        named["unit"] = Message("document_of_carrier" if "carrier" in kind.applies_to else "document_of_person")
    return named


def _on_unit(text: str, language: str) -> str:
    """A unit and a place on it, "NL-11 axle-1-left", as people say it."""
    unit, _, place = text.rpartition(" ")
    return f"{unit} {describe(place, language_of(language))}".strip()
