"""Dispatch's question as it is asked, and the answer as it is given."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any, Self
from uuid import UUID

from pydantic import Field

from common.api.answers import Answer, InUtc
from common.api.bodies import ABSENT, Body
from common.api.values import DecimalText, Instant, Text, Uuid, Word
from defects.api.clearance.reason_facts import StoredFacts
from defects.enums import ClearanceAnswer
from defects.models import Clearance
from defects.rules.clearance.codes import Code, EndsWhen, ReasonKind
from defects.selectors.clearance.reason_messages import Reader, end_words, ending_words, reason_words
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitRef
from fleet.enums import UnitKind

COLUMNS = ("reasons", "unknown", "left_open", "valid_until", "first_to_end_it")
"""What is stored of an answer and shown in words."""

StoredInstant = Annotated[str, Field(json_schema_extra={"format": "date-time"})]


class ClearanceBody(Body):
    """May these units roll. Cooling units mounted on the trailers named are asked for with them."""

    units: Annotated[list[UnitRef], Field(min_length=1, max_length=8)]
    load: Annotated[str, Text(40)] = Field(
        default="", description="the load's number or key; without it, the load aboard"
    )
    departure: Instant = Field(default=ABSENT, description="now when left out")
    arrival: Instant
    miles: Annotated[Decimal, DecimalText(7, 1, least=0)] = Field(default=ABSENT, description="length of the trip")
    us_states: Annotated[list[Annotated[str, Text(2)]], Field(max_length=60)] = Field(
        default=[], description="States crossed besides those that the load names, as on an empty run; two letters each"
    )
    driver: Uuid = Field(default=ABSENT, description="by key; when left out, a driver who asks, else nobody")


class LeftOpenAnswer(Answer):
    """One thing that neither bars nor waits for the driver: a deferred fault, a load at risk, a limited move."""

    code: Annotated[str, Word(Code)]
    unit: str
    says: str
    facts: StoredFacts = Field(description="the facts of the sentence")

    @classmethod
    def of_row(cls, row: Mapping[str, Any], reader: Reader) -> Self:
        """Return a stored thing, worded for a person."""
        return cls.model_validate({**_fields(cls, row), "says": reason_words(row, reader)})


class UnknownAnswer(Answer):
    """One thing that was not or could not be assessed, and does not bar."""

    code: Annotated[str, Word(Code)]
    unit: str
    says: str
    ends: str
    ends_when: Annotated[str, Word(EndsWhen)]
    facts: StoredFacts = Field(description="the facts of the sentence")

    @classmethod
    def of_row(cls, row: Mapping[str, Any], reader: Reader) -> Self:
        """Return a stored unknown, worded for a person."""
        said = {"says": reason_words(row, reader), "ends": end_words(row, reader.language)}
        return cls.model_validate({**_fields(cls, row), **said})


class ReasonAnswer(UnknownAnswer):
    """One thing against rolling, in words, with what ends it and when the shop expects that."""

    kind: Annotated[str, Word(ReasonKind)]
    source: str
    since: StoredInstant | None
    expected_at: StoredInstant | None


class EndingAnswer(Answer):
    """What first ends the answer if the units have not left by then and nothing new is recorded."""

    at: StoredInstant
    code: Annotated[str, Word(Code)]
    unit: str
    says: str


class WordedAnswer(Answer):
    """The answer. It never says that a vehicle is safe: it says what is known against it."""

    answer: Annotated[str, Word(ClearanceAnswer)]
    says: str
    reasons: list[ReasonAnswer]
    unknown: list[UnknownAnswer]
    left_open: list[LeftOpenAnswer] = Field(description="what stands and neither bars nor waits for the driver")
    clears_at: StoredInstant | None = Field(
        description="when the last bar is expected to fall; null where one has no time, or nothing bars"
    )
    valid_until: InUtc | None = Field(description="leave before this, or ask again; null while it is barred")
    first_to_end_it: EndingAnswer | None


class AnsweredClearance(WordedAnswer):
    """One asking with its answer, as it stands on record."""

    id: UUID
    units: list[str]
    load: str | None
    driver: PersonShort | None
    departure: InUtc
    arrival: InUtc
    miles: Decimal | None
    us_states: list[str]
    requested_at: datetime
    requested_by: PersonShort


class YardRowAnswer(WordedAnswer):
    """One unit of the yard. The answer is that of the combination it stands in, with its cooling units, as a whole."""

    unit: str
    kind: Annotated[str, Word(UnitKind)]
    together_with: list[str] = Field(description="whoever else the answer is for")
    load: str | None = Field(description="number of the load aboard")


def worded(answer: str, columns: Mapping[str, Any], reader: Reader) -> dict[str, Any]:
    """Return the fields of `WordedAnswer`, from the stored columns of an answer, worded for a person."""
    first, clears_at = columns["first_to_end_it"], _clears_at(columns)
    said = [reader.says_stored("answer", answer, {})]
    if answer == ClearanceAnswer.BARRED:
        known = clears_at is not None
        said.append(reader.says("answer_clears", clears_at=clears_at) if known else reader.says("answer_no_time"))
    return {
        "answer": answer,
        "says": " ".join(said),
        "reasons": [ReasonAnswer.of_row(row, reader) for row in columns["reasons"]],
        "unknown": [UnknownAnswer.of_row(row, reader) for row in columns["unknown"]],
        "left_open": [LeftOpenAnswer.of_row(row, reader) for row in columns["left_open"]],
        "clears_at": clears_at,
        "valid_until": columns["valid_until"],
        "first_to_end_it": None
        if first is None
        else EndingAnswer(at=first["at"], code=first["code"], unit=first["unit"], says=ending_words(first, reader)),
    }


def clearance_answer(clearance: Clearance, reader: Reader, **about: object) -> AnsweredClearance:
    """Return one clearance request with its answer, worded for a person; `about` are its units, load and people."""
    columns = {name: getattr(clearance, name) for name in COLUMNS}
    return AnsweredClearance.of(clearance, **about, **worded(clearance.answer, columns, reader))


def _clears_at(columns: Mapping[str, Any]) -> str | None:
    """The latest of the times at which the bars are expected to end, where each has one."""
    ends = [row["expected_at"] for row in columns["reasons"] if row["kind"] == ReasonKind.BARS]
    return None if None in ends else max(ends, key=datetime.fromisoformat, default=None)


def _fields(kind: type[Answer], row: Mapping[str, Any]) -> dict[str, Any]:
    """What a row holds of an answer's fields."""
    return {name: row[name] for name in kind.model_fields if name in row}
