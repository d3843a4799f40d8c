"""Filling a point's answer in one language. Chooses nothing and judges nothing."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from defects.rules.catalogue.clauses import When, WhenValue
from defects.rules.catalogue.points import Finding, Limit, Measure, Point, Raise, Source
from defects.rules.catalogue.stored import decimal_text
from defects.rules.vocabulary import Language
from defects.rules.walkarounds.grading import grade_everywhere

Body = dict[str, object]


def point_body(point: Point, language: Language) -> Body:
    """One point with its words in the language."""
    text = point.text[language]
    return {
        "name": point.name,
        "title": text.title,
        "thing": text.thing,
        "figure": text.figure,
        "ask": text.ask,
        "caution": text.caution,
        "put_right": text.put_right,
        "unit_kinds": texts(point.unit_kinds),
        "standing": str(point.standing),
        "part_group": str(point.part_group),
        "system": str(point.system),
        "leg": str(point.leg),
        "place_type": str(point.place_type),
        "places": list(point.places),
        "axle_roles": texts(point.axle_roles),
        "applies_when": clauses(point.applies_when),
        "who": str(point.who),
        "for_trained_drivers": point.for_trained_drivers,
        "method": str(point.method),
        "tools": texts(point.tools),
        "preconditions": texts(point.preconditions),
        "often": str(point.often),
        "walks": texts(point.walks),
        "evidence": str(point.evidence),
        "measure": None if point.measure is None else measure_body(point.measure),
        "limits": [_limit(limit) for limit in point.limits],
        "findings": [_finding(finding, language) for finding in point.findings],
        "correctable": point.correctable,
        "optional": point.optional,
        "behind_seal": point.behind_seal,
        "retired_on": point.retired_on,
    }


def measure_body(measure: Measure) -> Body:
    """What is measured."""
    return {
        "quantity": measure.quantity,
        "unit_of_measure": str(measure.unit_of_measure),
        "minimum": decimal_text(measure.minimum),
        "maximum": decimal_text(measure.maximum),
        "decimals": measure.decimals,
        "required": measure.required,
    }


def condition_body(finding: Finding, language: Language) -> Body:
    """One reportable condition in words, without its grade."""
    return {
        "code": finding.code,
        "text": finding.text[language],
        "default": finding.default,
        "source": source_body(finding.source),
    }


def _finding(finding: Finding, language: Language) -> Body:
    return {
        **condition_body(finding, language),
        **_grade(finding),
    }


def source_body(source: Source) -> Body:
    """Where something comes from."""
    return {"section": source.section, "basis": str(source.basis)}


def clauses(when: When) -> list[Body]:
    """A clause of the catalogue as a list of facts with their values."""
    return [{"fact": fact, "values": [_value(value) for value in values]} for fact, values in when.items()]


def texts(values: Iterable[str]) -> list[str]:
    """Words of a vocabulary as plain text."""
    return [str(value) for value in values]


def text_or_none(value: Decimal | None) -> str | None:
    """A decimal without zeros at its end, or None."""
    return None if value is None else decimal_text(value)


def _limit(limit: Limit) -> Body:
    return {
        "id": limit.id,
        "fails_when": str(limit.fails_when),
        "value": text_or_none(limit.value),
        "low": text_or_none(limit.low),
        "high": text_or_none(limit.high),
        "share_percent": None if limit.share is None else decimal_text(limit.share.percent),
        "share_of": "" if limit.share is None else limit.share.fact,
        "when": clauses(limit.when),
        **_grade(limit),
        "kind": str(limit.kind),
        "source": source_body(limit.source),
        "effective_from": limit.effective_from,
        "effective_until": limit.effective_until,
    }


def _grade(rule: Limit | Finding) -> Body:
    severity, bars = grade_everywhere(rule)
    raised = [_raise(step) for step in rule.raised if step.when]
    return {"severity": str(severity), "bars": str(bars), "raised": raised}


def _raise(step: Raise) -> Body:
    return {"when": clauses(step.when), "severity": str(step.severity)}


def _value(value: WhenValue) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Decimal):
        return decimal_text(value)
    return value.isoformat() if isinstance(value, date) else value
