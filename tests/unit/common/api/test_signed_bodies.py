"""What was signed in the field is read as far as it can be; whatever is read otherwise is flagged, and nothing lost."""

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any

import pytest
from pydantic import Field

from common.api.signed_bodies import Expected, SignedBody
from common.api.signed_reading import SignedRead, read_signed
from common.api.values import DecimalText, Flag, Instant, Sha256, Text

ZONE = timezone(timedelta(hours=-6))
DIGEST = "ab" * 32


class Kind(StrEnum):
    PRE_TRIP = "pre_trip"


class Check(SignedBody):
    point: Expected[Annotated[str, Text(10)]]
    note: Annotated[str, Text(6, multiline=True, may_be_blank=True)] = ""
    photos: Annotated[list[Sha256], Field(max_length=2)] = []


class Walk(SignedBody):
    kind: Expected[Kind]
    at: Expected[Instant]
    checks: Annotated[list[Check], Field(max_length=3)] = []
    first: Check | None = None
    sealed: Flag | None = None
    fuel: Annotated[Decimal, DecimalText(6, 1, least=0)] | None = None


GOOD: dict[str, Any] = {"kind": "pre_trip", "at": "2026-11-25T06:10:00Z"}


def read(**more: object) -> SignedRead[Walk]:
    return read_signed(Walk, {**GOOD, **more}, lambda: ZONE)


def odd(found: SignedRead[Walk]) -> list[tuple[str, str]]:
    return [(each.pointer, str(each.code)) for each in found.odd]


def test_what_fits__taken_as_everywhere() -> None:
    found = read(checks=[{"point": "tread", "photos": [DIGEST]}], sealed=True, fuel="10.5")
    assert odd(found) == []
    assert found.body.kind is Kind.PRE_TRIP
    assert found.body.checks == [Check(point="tread", photos=[DIGEST])]
    assert (found.body.sealed, found.body.fuel) == (True, Decimal("10.5"))


def test_items_that_go_from_a_list_and_from_lists_in_it__only_those() -> None:
    first, second = {"point": "tread", "photos": [5, DIGEST]}, {"point": "rim", "photos": [DIGEST, 6]}
    found = read(checks=[7, first, second])
    assert [(check.point, check.photos) for check in found.body.checks] == [("tread", [DIGEST]), ("rim", [DIGEST])]
    assert sorted(odd(found)) == [
        ("/checks/0", "field_set_aside"),
        ("/checks/1/photos/0", "field_set_aside"),
        ("/checks/2/photos/1", "field_set_aside"),
    ]


@pytest.mark.parametrize(
    ("check", "point", "note", "flags"),
    [
        ({"point": "tread", "note": None}, "tread", "", []),
        ({"point": "tread", "note": " "}, "tread", "", []),
        ({"point": 5}, "5", "", [("/checks/0/point", "field_of_other_kind")]),
        ({"point": Decimal("1.50")}, "1.50", "", [("/checks/0/point", "field_of_other_kind")]),
        ({"point": "a\0b"}, "a\N{REPLACEMENT CHARACTER}b", "", [("/checks/0/point", "field_changed")]),
        ({"point": "a\ud800"}, "a\N{REPLACEMENT CHARACTER}", "", [("/checks/0/point", "field_changed")]),
        ({"point": "tread", "note": "far too long"}, "tread", "far t…", [("/checks/0/note", "field_cut")]),
        ({"point": ""}, None, "", [("/checks/0/point", "field_missing")]),
        ({"point": None}, None, "", [("/checks/0/point", "field_missing")]),
        ({}, None, "", [("/checks/0/point", "field_missing")]),
    ],
)
def test_text__read_as_well_as_it_can_be(
    check: dict[str, object], point: str | None, note: str, flags: list[tuple[str, str]]
) -> None:
    found = read(checks=[check])
    assert odd(found) == flags
    assert [(each.point, each.note, each.unread) for each in found.body.checks] == [(point, note, {})]


@pytest.mark.parametrize(("name", "place"), [("x/y", "x~1y"), ("*unread", "*unread")])
def test_unknown_member__flagged_and_kept_unread_under_its_name(name: str, place: str) -> None:
    found = read(checks=[{"point": "tread", name: [1]}])
    assert odd(found) == [(f"/checks/0/{place}", "field_unknown")]
    assert [(each.point, each.unread) for each in found.body.checks] == [("tread", {name: [[1]]})]


@pytest.mark.parametrize(
    ("sent", "taken", "flags"),
    [
        ("2026-11-25T00:10:00", datetime(2026, 11, 25, 6, 10, tzinfo=UTC), [("/at", "instant_without_zone")]),
        ("1200-01-01T00:00:00Z", datetime(1900, 1, 1, tzinfo=UTC), [("/at", "instant_out_of_reach")]),
        (
            "0001-01-01T00:00:00",
            datetime(1900, 1, 1, tzinfo=UTC),
            [("/at", "instant_without_zone"), ("/at", "instant_out_of_reach")],
        ),
        ("noon", None, [("/at", "field_set_aside")]),
        (5, None, [("/at", "field_set_aside")]),
        (None, None, [("/at", "field_missing")]),
    ],
)
def test_instant__taken_in_the_zone_and_within_the_calendar(
    sent: object, taken: datetime | None, flags: list[tuple[str, str]]
) -> None:
    found = read(at=sent)
    assert (found.body.at, odd(found)) == (taken, flags)


def test_other_values__set_aside() -> None:
    found = read(kind="stroll", sealed="yes", fuel="1.55", first=[])
    assert (found.body.kind, found.body.sealed, found.body.fuel, found.body.first) == (None, None, None, None)
    assert sorted(odd(found)) == [(f"/{name}", "field_set_aside") for name in ("first", "fuel", "kind", "sealed")]


def test_null__is_nothing_where_nothing_is_expected() -> None:
    found = read(sealed=None, first=None, fuel=None, checks=None)
    assert (odd(found), found.body.checks) == ([], [])


def test_list__the_items_that_can_be_read_and_the_others_as_sent() -> None:
    fine = {"point": "tread"}
    found = read(checks=[5, {**fine, "photos": [DIGEST.upper(), 5, DIGEST]}, None, fine])
    assert [each.point for each in found.body.checks] == ["tread"]
    assert found.body.checks[0].photos == [DIGEST]
    assert found.body.unread == {"checks": [fine, 5]}
    assert sorted(odd(found)) == [
        ("/checks", "list_cut"),
        ("/checks/0", "field_set_aside"),
        ("/checks/1/photos", "list_cut"),
        ("/checks/1/photos/1", "field_set_aside"),
        ("/checks/2", "field_set_aside"),
    ]


def test_place__the_one_at_which_the_item_was_sent() -> None:
    found = read(checks=[5, [], {"point": "tread", "photos": "x"}])
    assert ("/checks/2/photos/0", "field_set_aside") in odd(found)
    assert found.body.unread == {"checks": [5, []]}


def test_no_list__one_item() -> None:
    found = read(checks={"point": None})
    assert [each.point for each in found.body.checks] == [None]
    assert odd(found) == [("/checks", "field_of_other_kind"), ("/checks/0/point", "field_missing")]


def test_what_was_sent__left_as_it_was() -> None:
    sent = {**GOOD, "checks": [5, {"point": 7}]}
    read_signed(Walk, sent, lambda: ZONE)
    assert sent == {**GOOD, "checks": [5, {"point": 7}]}


def test_long_place__cut() -> None:
    found = read(**{"x" * 200: 1})
    assert [len(each.pointer) for each in found.odd] == [80]
