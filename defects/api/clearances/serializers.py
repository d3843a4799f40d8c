"""Dispatch's question as it is asked, and the answer as it is given."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from rest_framework import serializers

from common.api.fields import DecimalString, InstantField, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.api.clearances.facts import FactsOut
from defects.enums import ClearanceAnswer
from defects.models import Clearance
from defects.rules.clearance import Code, EndsWhen, ReasonKind
from defects.selectors.clearance.reason_messages import Reader, end_words, ending_words, reason_words
from fleet.enums import UnitKind

KINDS = [(str(kind), str(kind)) for kind in ReasonKind]
CODES = [(str(code), str(code)) for code in Code]
COLUMNS = ("reasons", "unknown", "left_open", "valid_until", "first_to_end_it")
"""What is stored of an answer and shown in words."""
ENDS = [(str(end), str(end)) for end in EndsWhen]


class ClearanceBody(StrictSerializer):
    """May these units roll. Cooling units mounted on the trailers named are asked for with them."""

    units = serializers.ListField(child=TextField(max_length=160), min_length=1, max_length=8)
    load = TextField(max_length=40, required=False, help_text="the load's number; without it, the load aboard")
    departure = InstantField(required=False, help_text="now when left out")
    arrival = InstantField()
    miles = DecimalString(max_digits=7, decimal_places=1, required=False, min_value=0, help_text="length of the trip")
    driver = TextField(
        max_length=64,
        required=False,
        help_text="the driver's name at sign-in, or key; a driver who asks and names nobody",
    )


class ReasonOut(StrictSerializer):
    """One thing against rolling, in words, with what ends it and when the shop expects that."""

    kind = serializers.ChoiceField(choices=KINDS)
    code = serializers.ChoiceField(choices=CODES)
    unit = TextField(max_length=160)
    says = TextField(max_length=400)
    ends = TextField(max_length=200)
    ends_when = serializers.ChoiceField(choices=ENDS)
    source = TextField(max_length=300)  # type: ignore[assignment]  # a field may be called like an attribute of fields
    since = InstantField(allow_null=True)
    expected_at = InstantField(allow_null=True)
    facts = FactsOut(help_text="the facts of the sentence")


class UnknownOut(StrictSerializer):
    """One thing that was not or could not be assessed, and does not bar."""

    code = serializers.ChoiceField(choices=CODES)
    unit = TextField(max_length=160)
    says = TextField(max_length=400)
    ends = TextField(max_length=200)
    ends_when = serializers.ChoiceField(choices=ENDS)
    facts = FactsOut(help_text="the facts of the sentence")


class LeftOpenOut(StrictSerializer):
    """One thing that neither bars nor waits for the driver: a deferred fault, a load at risk, a limited move."""

    code = serializers.ChoiceField(choices=CODES)
    unit = TextField(max_length=160)
    says = TextField(max_length=400)
    facts = FactsOut(help_text="the facts of the sentence")


class EndingOut(StrictSerializer):
    """What first ends the answer if the units have not left by then and nothing new is recorded."""

    at = InstantField()
    code = serializers.ChoiceField(choices=CODES)
    unit = TextField(max_length=160)
    says = TextField(max_length=400)


class AnswerOut(StrictSerializer):
    """The answer. It never says that a vehicle is safe: it says what is known against it."""

    answer = serializers.ChoiceField(choices=choices(ClearanceAnswer))
    says = TextField(max_length=200)
    reasons = ReasonOut(many=True)
    unknown = UnknownOut(many=True)
    left_open = LeftOpenOut(many=True, help_text="what stands and neither bars nor waits for the driver")
    clears_at = InstantField(
        allow_null=True, help_text="when the last bar is expected to fall; null where one has no time, or nothing bars"
    )
    valid_until = InstantField(allow_null=True, help_text="leave before this, or ask again; null while it is barred")
    first_to_end_it = EndingOut(allow_null=True)


class ClearanceOut(AnswerOut):
    """One asking with its answer, as it stands on record."""

    id = serializers.UUIDField()
    units = serializers.ListField(child=TextField(max_length=160))
    load = TextField(max_length=40, allow_null=True)
    driver = TextField(max_length=120, allow_null=True)
    departure = InstantField()
    arrival = InstantField()
    miles = DecimalString(max_digits=7, decimal_places=1, allow_null=True)
    asked_at = InstantField()
    asked_by = TextField(max_length=120)


class YardRowOut(AnswerOut):
    """One unit of the yard. The answer is that of the combination it stands in, with its cooling units, as a whole."""

    unit = TextField(max_length=160)
    kind = serializers.ChoiceField(choices=choices(UnitKind))
    together_with = serializers.ListField(child=TextField(max_length=160), help_text="whoever else the answer is for")
    load = TextField(max_length=40, allow_null=True, help_text="number of the load aboard")


def answer_body(answer: str, columns: Mapping[str, Any], reader: Reader) -> dict[str, Any]:
    """The stored columns of an answer, worded for a person."""
    first, clears_at = columns["first_to_end_it"], _clears_at(columns)
    said = [reader.says_stored("answer", answer, {})]
    if answer == ClearanceAnswer.BARRED:
        known = clears_at is not None
        said.append(reader.says("answer_clears", clears_at=clears_at) if known else reader.says("answer_no_time"))
    return {
        "answer": answer,
        "says": " ".join(said),
        "reasons": [_worded(row, reader) for row in columns["reasons"]],
        "unknown": [_worded(row, reader) for row in columns["unknown"]],
        "left_open": [{**row, "says": reason_words(row, reader)} for row in columns["left_open"]],
        "clears_at": clears_at,
        "valid_until": columns["valid_until"],
        "first_to_end_it": None
        if first is None
        else {name: first[name] for name in ("at", "code", "unit")} | {"says": ending_words(first, reader)},
    }


@dataclass(frozen=True)
class Names:
    """What a clearance request is about, by name."""

    units: Sequence[str]
    load: str | None
    driver: str | None
    asked_by: str


def clearance_body(clearance: Clearance, names: Names, reader: Reader) -> dict[str, Any]:
    """One asking with its answer, worded for a person."""
    columns = {name: getattr(clearance, name) for name in COLUMNS}
    return {
        "id": clearance.pk,
        "units": list(names.units),
        "load": names.load,
        "driver": names.driver,
        "departure": clearance.departure,
        "arrival": clearance.arrival,
        "miles": None if clearance.miles is None else str(clearance.miles),
        "asked_at": clearance.asked_at,
        "asked_by": names.asked_by,
        **answer_body(clearance.answer, columns, reader),
    }


def _clears_at(columns: Mapping[str, Any]) -> str | None:
    """The latest of the times at which the bars are expected to end, where each has one."""
    ends = [row["expected_at"] for row in columns["reasons"] if row["kind"] == ReasonKind.BARS]
    return None if None in ends else max(ends, key=datetime.fromisoformat, default=None)


def _worded(row: Mapping[str, Any], reader: Reader) -> dict[str, Any]:
    return {**row, "says": reason_words(row, reader), "ends": end_words(row, reader.language)}
