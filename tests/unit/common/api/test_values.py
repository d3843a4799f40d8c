"""Single values are taken in one form only."""

import uuid
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Annotated, Any

import pytest
from pydantic import TypeAdapter, ValidationError

from common.api.value_problems import code_of
from common.api.values import Day, DecimalText, Flag, Instant, Pattern, Sha256, Text, Uuid, Whole

KEY = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
DIGEST = "ab" * 32


TEXT = Annotated[str, Text(5)]
DECIMAL = Annotated[Decimal, DecimalText(5, 2)]
WHOLE = Annotated[int, Whole()]


def read(kind: Any, given: object) -> Any:
    return TypeAdapter(kind).validate_python(given)


@pytest.mark.parametrize(
    ("kind", "given", "taken"),
    [
        (TEXT, "n\u0303a", "ña"),
        (TEXT, "  a ", "a"),
        (Annotated[str, Text(5, multiline=True)], "a\r\nb\tc", "a\nb\tc"),
        (Annotated[str, Text(5, may_be_blank=True)], " ", ""),
        (Day, "2026-11-25", date(2026, 11, 25)),
        (Annotated[str, Pattern("[A-Z]{3}")], "USD", "USD"),
        (Flag, True, True),
        (Flag, False, False),
        (WHOLE, 0, 0),
        (WHOLE, 2147483647, 2147483647),
        (Annotated[int, Whole(least=-5)], -5, -5),
        (DECIMAL, "12.5", Decimal("12.50")),
        (DECIMAL, "-999.99", Decimal("-999.99")),
        (DECIMAL, 12, Decimal("12.00")),
        (DECIMAL, Decimal("12.5"), Decimal("12.50")),
        (Instant, "2026-11-25T06:10:00Z", datetime(2026, 11, 25, 6, 10, tzinfo=UTC)),
        (Instant, "2026-11-25t06:10:00.5z", datetime(2026, 11, 25, 6, 10, 0, 500000, tzinfo=UTC)),
        (Uuid, KEY, uuid.UUID(KEY)),
        (Uuid, KEY.upper(), uuid.UUID(KEY)),
        (Uuid, "2d931510-d99f-494a-8c67-87feb05e1594", uuid.UUID("2d931510-d99f-494a-8c67-87feb05e1594")),
        (Uuid, str(uuid.UUID(int=0)), uuid.UUID(int=0)),
        (Sha256, DIGEST, DIGEST),
    ],
)
def test_good_value__taken(kind: Any, given: object, taken: object) -> None:
    assert read(kind, given) == taken


@pytest.mark.parametrize(
    ("kind", "given", "code"),
    [
        (TEXT, 5, "not_text"),
        (TEXT, True, "not_text"),
        (TEXT, ["a"], "not_text"),
        (TEXT, "a\0", "text_nul"),
        (TEXT, "\ud800", "text_surrogate"),
        (TEXT, "a\x07", "text_control"),
        (TEXT, "a\nb", "text_control"),
        (TEXT, "abcdef", "max_length"),
        (TEXT, " ", "blank"),
        (TEXT, None, "null"),
        (Flag, "true", "not_a_flag"),
        (Flag, 1, "not_a_flag"),
        (WHOLE, "5", "not_whole"),
        (WHOLE, True, "not_whole"),
        (WHOLE, Decimal("5.0"), "not_whole"),
        (WHOLE, -1, "min_value"),
        (WHOLE, 2147483648, "max_value"),
        (DECIMAL, "", "not_a_decimal"),
        (DECIMAL, "NaN", "not_a_decimal"),
        (DECIMAL, "1e2", "not_a_decimal"),
        (DECIMAL, " 1", "not_a_decimal"),
        (DECIMAL, "1,5", "not_a_decimal"),
        (DECIMAL, "١٢", "not_a_decimal"),
        (DECIMAL, 1.5, "not_a_decimal"),
        (DECIMAL, True, "not_a_decimal"),
        (DECIMAL, "1.005", "max_decimal_places"),
        (DECIMAL, "1234.5", "max_whole_digits"),
        (DECIMAL, Decimal("1E+30"), "max_digits"),
        (Instant, "2026-11-25T06:10:00", "instant_without_offset"),
        (Instant, "2026-11-25", "not_an_instant"),
        (Instant, "2026-11-25 06:10:00Z", "not_an_instant"),
        (Instant, "2026-13-25T06:10:00Z", "not_an_instant"),
        (Instant, "2026-11-25T06:10:61Z", "not_an_instant"),
        (Instant, "2026-11-25T06:10:00.Z", "not_an_instant"),
        (Instant, "2026-11-25T06:10:00+0600", "not_an_instant"),
        (Instant, "2026-W48-1T06:10:00Z", "not_an_instant"),
        (Instant, "\uff12026-11-25T06:10:00Z", "not_an_instant"),
        (Instant, "2026-11-25T06:10:00+25:00", "not_an_instant"),
        (Instant, "0001-01-01T00:00:00+14:00", "not_an_instant"),
        (Instant, "9999-12-31T23:59:59-14:00", "not_an_instant"),
        (Instant, "1899-12-31T23:59:59Z", "not_an_instant"),
        (Instant, "2199-12-31T00:00:01Z", "not_an_instant"),
        (Instant, 1764051000, "not_an_instant"),
        (Uuid, KEY.replace("-", ""), "not_uuid"),
        (Uuid, f"{{{KEY}}}", "not_uuid"),
        (Uuid, 7, "not_uuid"),
        (Sha256, DIGEST.upper(), "not_sha256"),
        (Sha256, DIGEST[:-1], "not_sha256"),
        (Sha256, f"{DIGEST}\n", "not_sha256"),
        (Sha256, 5, "not_sha256"),
        (Day, "2026-11-25T00:00:00", "not_a_day"),
        (Day, 20261125, "not_a_day"),
        (Annotated[str, Pattern("[A-Z]{3}")], "usd", "invalid"),
        (Annotated[str, Pattern("[A-Z]{3}")], "USD\n", "invalid"),
        (Annotated[Decimal, DecimalText(5, 2, least=0)], "-0.01", "min_value"),
    ],
)
def test_bad_value__refused_by_its_rule(kind: Any, given: object, code: str) -> None:
    with pytest.raises(ValidationError) as caught:
        read(kind, given)
    assert [code_of(error) for error in caught.value.errors()] == [code]


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
    assert read(Instant, given).isoformat() == expected


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
    taken = read(Instant, text)
    assert (taken, taken.utcoffset()) == (datetime.fromisoformat(text), offset)


def test_offset_of_the_device__kept() -> None:
    taken = read(Instant, "2026-11-25T00:10:00-06:00")
    assert taken == datetime(2026, 11, 25, 6, 10, tzinfo=UTC)
    assert taken.utcoffset() == timedelta(hours=-6)
