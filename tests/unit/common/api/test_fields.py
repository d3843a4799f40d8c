"""Single values are taken in one form only, and given in one form only."""

import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import pytest
from rest_framework.exceptions import ErrorDetail, ValidationError

from common.api.fields import DecimalString, FlagField, InstantField, Sha256Field, TextField, UuidField, WholeField

Field = Any

KEY = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
DIGEST = "ab" * 32


def text() -> Field:
    return TextField(max_length=5)


def decimal() -> Field:
    return DecimalString(max_digits=5, decimal_places=2)


@pytest.mark.parametrize(
    ("field", "given", "taken"),
    [
        (text, "n\u0303a", "ña"),
        (text, "  a ", "a"),
        (lambda: TextField(max_length=5, multiline=True), "a\r\nb\tc", "a\nb\tc"),
        (lambda: TextField(max_length=5, allow_null=True), None, None),
        (FlagField, True, True),
        (FlagField, False, False),
        (WholeField, 0, 0),
        (WholeField, 2147483647, 2147483647),
        (lambda: WholeField(min_value=-5), -5, -5),
        (decimal, "12.5", Decimal("12.50")),
        (decimal, "-999.99", Decimal("-999.99")),
        (decimal, 12, Decimal("12.00")),
        (decimal, Decimal("12.5"), Decimal("12.50")),
        (InstantField, "2026-11-25T06:10:00Z", datetime(2026, 11, 25, 6, 10, tzinfo=UTC)),
        (InstantField, "2026-11-25t06:10:00.5z", datetime(2026, 11, 25, 6, 10, 0, 500000, tzinfo=UTC)),
        (UuidField, KEY, uuid.UUID(KEY)),
        (UuidField, KEY.upper(), uuid.UUID(KEY)),
        (UuidField, "2d931510-d99f-494a-8c67-87feb05e1594", uuid.UUID("2d931510-d99f-494a-8c67-87feb05e1594")),
        (UuidField, str(uuid.UUID(int=0)), uuid.UUID(int=0)),
        (Sha256Field, DIGEST, DIGEST),
    ],
)
def test_good_value__taken(field: Callable[[], Field], given: object, taken: object) -> None:
    assert field().run_validation(given) == taken


@pytest.mark.parametrize(
    ("field", "given", "code"),
    [
        (text, 5, "not_text"),
        (text, True, "not_text"),
        (text, ["a"], "not_text"),
        (text, "a\0", "text_nul"),
        (text, "\ud800", "text_surrogate"),
        (text, "a\x07", "text_control"),
        (text, "a\nb", "text_control"),
        (text, "abcdef", "max_length"),
        (text, " ", "blank"),
        (text, None, "null"),
        (FlagField, "true", "not_a_flag"),
        (FlagField, 1, "not_a_flag"),
        (FlagField, None, "null"),
        (WholeField, "5", "not_whole"),
        (WholeField, True, "not_whole"),
        (WholeField, Decimal("5.0"), "not_whole"),
        (WholeField, -1, "min_value"),
        (WholeField, 2147483648, "max_value"),
        (decimal, "", "not_a_decimal"),
        (decimal, "NaN", "not_a_decimal"),
        (decimal, "1e2", "not_a_decimal"),
        (decimal, " 1", "not_a_decimal"),
        (decimal, "1,5", "not_a_decimal"),
        (decimal, "١٢", "not_a_decimal"),
        (decimal, 1.5, "not_a_decimal"),
        (decimal, True, "not_a_decimal"),
        (decimal, "1.005", "max_decimal_places"),
        (decimal, "1234.5", "max_whole_digits"),
        (decimal, Decimal("1E+30"), "max_digits"),
        (InstantField, "2026-11-25T06:10:00", "instant_without_offset"),
        (InstantField, "2026-11-25", "not_an_instant"),
        (InstantField, "2026-11-25 06:10:00Z", "not_an_instant"),
        (InstantField, "2026-13-25T06:10:00Z", "not_an_instant"),
        (InstantField, "2026-11-25T06:10:61Z", "not_an_instant"),
        (InstantField, "2026-11-25T06:10:00.Z", "not_an_instant"),
        (InstantField, "2026-11-25T06:10:00+0600", "not_an_instant"),
        (InstantField, "2026-W48-1T06:10:00Z", "not_an_instant"),
        (InstantField, "\uff12026-11-25T06:10:00Z", "not_an_instant"),
        (InstantField, "2026-11-25T06:10:00+25:00", "not_an_instant"),
        (InstantField, "0001-01-01T00:00:00+14:00", "not_an_instant"),
        (InstantField, "9999-12-31T23:59:59-14:00", "not_an_instant"),
        (InstantField, "1899-12-31T23:59:59Z", "not_an_instant"),
        (InstantField, "2199-12-31T00:00:01Z", "not_an_instant"),
        (InstantField, 1764051000, "not_an_instant"),
        (UuidField, KEY.replace("-", ""), "not_uuid"),
        (UuidField, f"{{{KEY}}}", "not_uuid"),
        (UuidField, 7, "not_uuid"),
        (Sha256Field, DIGEST.upper(), "not_sha256"),
        (Sha256Field, DIGEST[:-1], "not_sha256"),
        (Sha256Field, f"{DIGEST}\n", "not_sha256"),
        (Sha256Field, 5, "not_sha256"),
    ],
)
def test_bad_value__refused_by_its_rule(field: Callable[[], Field], given: object, code: str) -> None:
    with pytest.raises(ValidationError) as caught:
        field().run_validation(given)
    details = caught.value.detail
    assert isinstance(details, list)
    assert [detail.code for detail in details if isinstance(detail, ErrorDetail)] == [code]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("2026-11-25T06:10:05.123456789Z", "2026-11-25T06:10:05.123456+00:00"),
        ("2026-11-25T06:10:05.1z", "2026-11-25T06:10:05.100000+00:00"),
        ("2026-11-25t06:10:05.000000999-06:00", "2026-11-25T06:10:05-06:00"),
        ("2026-06-30T23:59:60Z", "2026-07-01T00:00:00+00:00"),
        ("2026-06-30T18:59:60.5-05:00", "2026-06-30T19:00:00.500000-05:00"),
    ],
)
def test_instant_in_any_spelling_of_rfc_3339__taken(given: str, expected: str) -> None:
    assert InstantField().run_validation(given).isoformat() == expected


@pytest.mark.parametrize(
    ("given", "offset"),
    [
        ("+15:59", timedelta(hours=15, minutes=59)),
        ("-15:59", -timedelta(hours=15, minutes=59)),
        ("+16:00", timedelta(0)),
        ("-16:00", timedelta(0)),
        ("+23:59", timedelta(0)),
    ],
)
def test_offset_that_no_zone_has__the_instant_stands_in_utc(given: str, offset: timedelta) -> None:
    text = f"2026-11-25T06:10:00{given}"
    taken = InstantField().run_validation(text)
    assert (taken, taken.utcoffset()) == (datetime.fromisoformat(text), offset)


def test_offset_of_the_device__kept() -> None:
    taken = InstantField().run_validation("2026-11-25T00:10:00-06:00")
    assert taken == datetime(2026, 11, 25, 6, 10, tzinfo=UTC)
    assert taken.utcoffset() == timedelta(hours=-6)


@pytest.mark.parametrize(
    ("field", "value", "given"),
    [
        (decimal, Decimal("12.5"), "12.50"),
        (InstantField, datetime(2026, 11, 25, 6, 10, tzinfo=UTC), "2026-11-25T06:10:00Z"),
        (InstantField, datetime(2026, 11, 25, 6, 10, 0, 5, tzinfo=UTC), "2026-11-25T06:10:00.000005Z"),
        (
            InstantField,
            datetime(2026, 11, 25, 0, 10, tzinfo=timezone(timedelta(hours=-6))),
            "2026-11-25T00:10:00-06:00",
        ),
        (UuidField, uuid.UUID(KEY), KEY),
        (Sha256Field, DIGEST, DIGEST),
    ],
)
def test_value_given__its_one_form(field: Callable[[], Field], value: object, given: str) -> None:
    assert field().to_representation(value) == given


def test_naive_instant__a_mistake_in_the_code() -> None:
    with pytest.raises(ValueError, match="offset"):
        InstantField().to_representation(datetime(2026, 11, 25))  # noqa: DTZ001 - naive on purpose
