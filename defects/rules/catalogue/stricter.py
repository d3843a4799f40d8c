"""The rules a carrier may add to the catalogue, as frozen values and in their stored form. Applied in `tightening`."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from defects.rules.catalogue.tables import Problem, Table
from defects.rules.vocabulary import Severity


@dataclass(frozen=True, slots=True)
class RaiseSeverity:
    """A more severe grade for one limit or finding (`name`), or for every milder one of the point (None)."""

    point: str
    severity: Severity
    reason: str
    name: str | None = None


@dataclass(frozen=True, slots=True)
class StricterValue:
    """A stricter figure beside a limit, with its own severity or that of the limit."""

    point: str
    limit: str
    value: Decimal
    reason: str
    severity: Severity | None = None


@dataclass(frozen=True, slots=True)
class OpenToTrainedDrivers:
    """A mechanic's point that drivers trained by the carrier may pass as well."""

    point: str
    reason: str


@dataclass(frozen=True, slots=True)
class NewPoint:
    """A carrier point of the carrier's own, in the stored form of a point."""

    document: Mapping[str, object]
    reason: str


CarrierRule = RaiseSeverity | StricterValue | OpenToTrainedDrivers | NewPoint


class RuleName(StrEnum):
    """What a stored rule is called."""

    RAISE_SEVERITY = "raise_severity"
    STRICTER_VALUE = "stricter_value"
    OPEN_TO_TRAINED_DRIVERS = "open_to_trained_drivers"
    NEW_POINT = "new_point"


def read_carrier_rule(document: Mapping[str, object]) -> tuple[CarrierRule | None, list[Problem]]:
    """The rule of a stored document such as `{"rule": "raise_severity", "point": …}`, or None and what is wrong."""
    problems: list[Problem] = []
    table = Table(document, problems)
    kind = table.choice("rule", RuleName)
    reason = table.text("reason")
    rule = _read(table, kind, reason)
    table.finish()
    return (None, problems) if problems else (rule, problems)


def _read(table: Table, kind: RuleName, reason: str) -> CarrierRule:
    if kind is RuleName.NEW_POINT:
        inner = table.table("document")
        if inner is None:
            table.problem("document", "is missing")
        return NewPoint(document={} if inner is None else inner.content, reason=reason)
    point = table.text("point")
    if kind is RuleName.RAISE_SEVERITY:
        name = table.text("name") if table.has("name") else None
        return RaiseSeverity(point=point, severity=table.choice("severity", Severity), reason=reason, name=name)
    if kind is RuleName.STRICTER_VALUE:
        severity = table.choice("severity", Severity) if table.has("severity") else None
        return StricterValue(point, table.text("limit"), table.decimal("value"), reason, severity)
    return OpenToTrainedDrivers(point=point, reason=reason)
