"""What a carrier may change in the catalogue: make it stricter, never looser; its rules in their stored form.

The public limits stay where they are.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Annotated, Any, Literal

from pydantic import Field, TypeAdapter, ValidationError
from pydantic.dataclasses import dataclass

from common.data_files import CLOSED, Exact, Text, faults
from common.errors import FieldProblem, Invalid
from defects.enums import FREIGHT, Authority, Bars, Listing, Severity, default_bars, rank
from defects.rules.catalogue.catalogue import Catalogue, decimal_text
from defects.rules.catalogue.closed_sets import Basis, FailsWhen, RuleKind, WhenUnknown, Who
from defects.rules.catalogue.points import POINT, Point, Raise, Source
from defects.rules.catalogue.soundness import OWN_LIMIT_PREFIX, point_problems


@dataclass(frozen=True, slots=True, config=CLOSED)
class RaiseSeverity:
    """A more severe grade for one limit or finding (`name`), or for every milder one of the point (None)."""

    point: Text
    severity: Severity
    reason: Text
    name: Text | None = None
    rule: Literal["raise_severity"] = "raise_severity"


@dataclass(frozen=True, slots=True, config=CLOSED)
class StricterValue:
    """A stricter figure beside a limit, with its own severity or that of the limit."""

    point: Text
    limit: Text
    value: Exact
    reason: Text
    severity: Severity | None = None
    rule: Literal["stricter_value"] = "stricter_value"


@dataclass(frozen=True, slots=True, config=CLOSED)
class OpenToTrainedDrivers:
    """A mechanic's point that drivers trained by the carrier may pass as well."""

    point: Text
    reason: Text
    rule: Literal["open_to_trained_drivers"] = "open_to_trained_drivers"


@dataclass(frozen=True, slots=True, config=CLOSED)
class NewPoint:
    """A carrier point of the carrier's own, in the stored form of a point."""

    document: Mapping[str, Any]
    reason: Text
    rule: Literal["new_point"] = "new_point"


CarrierRule = RaiseSeverity | StricterValue | OpenToTrainedDrivers | NewPoint

_RULE: TypeAdapter[CarrierRule] = TypeAdapter(Annotated[CarrierRule, Field(discriminator="rule")])


def read_carrier_rule(document: object) -> tuple[CarrierRule | None, list[tuple[str, str]]]:
    """The rule of a stored document such as `{"rule": "raise_severity", "point": …}`, or None and each fault."""
    try:
        return _RULE.validate_python(document), []
    except ValidationError as error:
        chosen = document.get("rule") if isinstance(document, Mapping) else None
        return None, [(field or "rule", message) for field, message in faults(error, chosen=chosen)]


OWN_PREFIX = "own."
"""A carrier's own points live under this name, so that a point added here later never meets one of theirs."""


class LooseningRefusedError(Invalid):
    """A carrier rule that would not make the catalogue stricter. `facts` name the rule's place in the list and why."""


def tighten(catalogue: Catalogue, rules: Sequence[CarrierRule]) -> Catalogue:
    """The catalogue with the carrier's rules applied in turn; LooseningRefusedError for the first that may not be.

    Its content hash is another one. A limit of a regulation is never replaced: a stricter value stands beside it.
    """
    points = dict(catalogue.points)
    for index, rule in enumerate(rules):
        changed = _apply(points, rule, index)
        problems = list(point_problems(changed))
        if problems:
            field, message = problems[0]
            raise _refused(index, "carrier_rule_unsound", point=changed.name, field=field, reason=message)
        points[changed.name] = changed
    return Catalogue.of(points.values())


def _apply(points: Mapping[str, Point], rule: CarrierRule, index: int) -> Point:
    if isinstance(rule, NewPoint):
        return _new_point(points, rule, index)
    point = points.get(rule.point)
    if point is None:
        raise _refused(index, "carrier_rule_point_unknown", point=rule.point)
    if isinstance(rule, RaiseSeverity):
        return _raise_severity(point, rule, index)
    if isinstance(rule, StricterValue):
        return _stricter_value(point, rule, index)
    return _open_to_trained(point, rule, index)


def _raise_severity(point: Point, rule: RaiseSeverity, index: int) -> Point:
    """Raise one limit or finding, or every one that is milder; a name that is none of the point's is refused."""
    names = {limit.id for limit in point.limits} | {finding.code for finding in point.findings}
    if rule.name is not None and rule.name not in names:
        raise _refused(index, "carrier_rule_limit_unknown", point=point.name, limit=rule.name)
    step = Raise(when={}, severity=rule.severity, source=_own(rule.reason))

    def milder(name: str, severity: Severity, bars: Bars) -> bool:
        named = rule.name in (None, name)
        return (
            named and rank(severity) < rank(rule.severity) and (rule.name is not None or _may_stop(bars, rule.severity))
        )

    limits = tuple(
        replace(limit, raised=(*limit.raised, step)) if milder(limit.id, limit.severity, limit.bars) else limit
        for limit in point.limits
    )
    findings = tuple(
        replace(finding, raised=(*finding.raised, step))
        if milder(finding.code, finding.severity, finding.bars)
        else finding
        for finding in point.findings
    )
    if (limits, findings) == (point.limits, point.findings):
        raise _refused(index, "carrier_rule_not_stricter", point=point.name, severity=str(rule.severity))
    return replace(point, limits=limits, findings=findings)


def _may_stop(bars: Bars, severity: Severity) -> bool:
    """What keeps cold freight off is left alone by a rule for the whole point that would bar movement."""
    return bars not in FREIGHT or default_bars(severity) is not Bars.MOVEMENT


def _stricter_value(point: Point, rule: StricterValue, index: int) -> Point:
    """Put a stricter limit of the carrier's own beside the one it tightens."""
    base = point.limit(rule.limit)
    if base is None:
        raise _refused(index, "carrier_rule_limit_unknown", point=point.name, limit=rule.limit)
    if base.value is None:
        raise _refused(index, "carrier_rule_value_not_fixed", point=point.name, limit=rule.limit)
    earlier = point.limit(f"{OWN_LIMIT_PREFIX}{base.id}")
    present = base.value if earlier is None or earlier.value is None else earlier.value
    upwards = base.fails_when in (FailsWhen.ABOVE, FailsWhen.AT_OR_ABOVE)
    stricter = rule.value < present if upwards else rule.value > present
    severity = base.severity if rule.severity is None else rule.severity
    if not stricter or (earlier is not None and rank(severity) < rank(earlier.severity)):
        facts = {"limit": rule.limit, "value": decimal_text(rule.value), "present": decimal_text(present)}
        raise _refused(index, "carrier_rule_not_stricter", point=point.name, **facts)
    own = replace(
        base,
        id=f"{OWN_LIMIT_PREFIX}{base.id}",
        value=rule.value,
        severity=severity,
        bars=base.bars if severity is base.severity else default_bars(severity),
        raised=tuple(step for step in base.raised if rank(step.severity) > rank(severity)),
        kind=RuleKind.CARRIER,
        source=_own(rule.reason),
        listing=None if default_bars(severity) is Bars.MOVEMENT else base.listing or Listing.SAFETY,
        when_unknown=WhenUnknown.SKIPPED if base.when_unknown is WhenUnknown.FLAG else base.when_unknown,
    )
    kept = tuple(limit for limit in point.limits if limit.id != own.id)
    return replace(point, limits=(*kept, own))


def _open_to_trained(point: Point, rule: OpenToTrainedDrivers, index: int) -> Point:
    if point.who is not Who.MECHANIC:
        raise _refused(index, "carrier_rule_open_already", point=rule.point)
    return replace(point, for_trained_drivers=True)


def _new_point(points: Mapping[str, Point], rule: NewPoint, index: int) -> Point:
    try:
        point = POINT.validate_python(rule.document)
    except ValidationError as error:
        field, reason = faults(error)[0]
        name = str(rule.document.get("name", ""))
        raise _refused(index, "carrier_rule_unsound", point=name, field=field, reason=reason) from error
    if not point.name.startswith(OWN_PREFIX) or point.name in points:
        raise _refused(index, "carrier_rule_name_taken", point=point.name, prefix=OWN_PREFIX)
    if point.authority is not Authority.CARRIER or any(limit.kind is RuleKind.REGULATION for limit in point.limits):
        raise _refused(index, "carrier_rule_not_carriers", point=point.name)
    return point


def _own(reason: str) -> Source:
    return Source(section=f"carrier's own rule: {reason}"[:150], basis=Basis.OWN)


def _refused(index: int, code: str, **facts: object) -> LooseningRefusedError:
    refused = LooseningRefusedError(code, problems=(FieldProblem(f"/rules/{index}", code, facts),))
    refused.facts = {"index": index, **facts}
    return refused
