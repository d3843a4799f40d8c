"""What a device token looks like and how long it lasts."""

import datetime as dt
import hashlib

import pytest

from fleet.rules.people.tokens import lifetime, renewed_until, token_hash

AT = dt.datetime(2026, 3, 6, 18, tzinfo=dt.UTC)
TOKEN = "rct_" + "A" * 43


def test_token_of_ours__is_kept_by_its_hash() -> None:
    assert token_hash(TOKEN) == hashlib.sha256(TOKEN.encode()).digest()


@pytest.mark.parametrize(
    "text", ["", "rct_", TOKEN[:-1], TOKEN + "A", TOKEN.replace("rct_", "xyz_"), "rct_" + "é" * 43]
)
def test_other_text__is_no_token(text: str) -> None:
    assert token_hash(text) is None


def test_new_token__ends_90_days_after_use_and_a_year_after_sign_in() -> None:
    ends = lifetime(AT)
    assert ends.expires_at == dt.datetime(2026, 6, 4, 18, tzinfo=dt.UTC)
    assert ends.ends_at == dt.datetime(2027, 3, 6, 18, tzinfo=dt.UTC)


def test_use__moves_the_end_but_never_past_the_last_one() -> None:
    ends_at = dt.datetime(2026, 4, 1, tzinfo=dt.UTC)
    assert renewed_until(AT, AT + dt.timedelta(days=300)) == dt.datetime(2026, 6, 4, 18, tzinfo=dt.UTC)
    assert renewed_until(AT, ends_at) == ends_at
