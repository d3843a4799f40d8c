"""An answer becomes JSON as it is, each value in its one form."""

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from enum import StrEnum
from typing import Annotated
from uuid import UUID

import pytest
from pydantic import ValidationError

from common.api.answers import Answer, AnswerRenderer
from common.api.values import Word

KEY = UUID("017f22e2-79b0-7cc3-98c4-dc0c0c07398f")
NORTH = timezone(timedelta(hours=-6))


class State(StrEnum):
    OPEN = "open"


class Site(Answer):
    code: str


class Order(Answer):
    id: UUID
    state: Annotated[str, Word(State)]
    site: Site | None
    opened_at: datetime
    due_on: date | None
    cost: Decimal | None
    tasks: list[str]


@dataclass
class Place:
    code: str


@dataclass
class Row:
    id: UUID
    state: str
    site: Place | None
    opened_at: datetime
    due_on: date | None
    cost: Decimal | None


def order(**more: object) -> Row:
    given = {"id": KEY, "state": "open", "site": Place("OMA"), "due_on": date(2026, 12, 1), "cost": Decimal("12.50")}
    return Row(**{"opened_at": datetime(2026, 11, 25, 6, 10, tzinfo=UTC), **given, **more})  # type: ignore[arg-type]  # a row of the test


def rendered(answer: object) -> object:
    return json.loads(AnswerRenderer().render(answer))


def test_answer__the_row_s_attributes_and_what_is_given() -> None:
    assert rendered({"results": [Order.of(order(), tasks=["brakes"])]}) == {
        "results": [
            {
                "id": str(KEY),
                "state": "open",
                "site": {"code": "OMA"},
                "opened_at": "2026-11-25T06:10:00Z",
                "due_on": "2026-12-01",
                "cost": "12.50",
                "tasks": ["brakes"],
            }
        ]
    }


@pytest.mark.parametrize(
    ("instant", "written"),
    [
        (datetime(2026, 11, 25, 6, 10, 0, 5, tzinfo=UTC), "2026-11-25T06:10:00.000005Z"),
        (datetime(2026, 11, 25, 6, 10, 0, 120000, tzinfo=UTC), "2026-11-25T06:10:00.120000Z"),
        (datetime(2026, 11, 25, 0, 10, tzinfo=NORTH), "2026-11-25T00:10:00-06:00"),
    ],
)
def test_instant__as_in_what_is_no_model_and_in_its_own_offset(instant: datetime, written: str) -> None:
    found = json.loads(Order.of(order(opened_at=instant), tasks=[]).model_dump_json())
    assert found["opened_at"] == written
    assert rendered({"at": instant}) == {"at": written}


def test_word_of_a_newer_release__shown_as_it_is_stored() -> None:
    assert Order.of(order(state="folded"), tasks=[]).state == "folded"


def test_row_that_does_not_fit__refused_before_anything_is_written() -> None:
    with pytest.raises(ValidationError):
        Order.of(order(opened_at="noon"), tasks=[])


def test_nothing__no_bytes() -> None:
    assert AnswerRenderer().render(None) == b""
