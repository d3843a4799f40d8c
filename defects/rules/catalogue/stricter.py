"""The rules a carrier may add to the catalogue, in their stored form. Applied in `tightening`."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, TypeAdapter, ValidationError
from pydantic.dataclasses import dataclass

from common.data_files import CLOSED, Exact, Text, faults
from defects.enums import Severity


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
