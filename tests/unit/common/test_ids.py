"""Keys are UUIDv7 and tell the time written in them, and only they."""

import uuid
from datetime import UTC, datetime, timedelta

from common import clock
from common.ids import uuid7, uuid7_time


def test_new_key__version_7_of_the_rfc_variant() -> None:
    key = uuid7()
    assert (key.version, key.variant) == (7, uuid.RFC_4122)


def test_many_keys__grow_and_never_repeat() -> None:
    keys = [uuid7() for _ in range(5000)]
    assert keys == sorted(set(keys))


def test_time_of_a_new_key__now() -> None:
    before = clock.now() - timedelta(milliseconds=1)
    written = uuid7_time(uuid7())
    assert written is not None
    assert before <= written <= clock.now()


def test_time_of_the_example_in_rfc_9562_a_6__as_published() -> None:
    """RFC 9562 appendix A.6: 017F22E2-79B0-7CC3-98C4-DC0C0C07398F is Tuesday, February 22, 2022 2:22:22.00 PM GMT-5."""
    key = uuid.UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")
    assert uuid7_time(key) == datetime(2022, 2, 22, 19, 22, 22, tzinfo=UTC)


def test_other_kinds_of_uuid__no_time() -> None:
    other_variant = uuid.UUID("017F22E2-79B0-7CC3-18C4-DC0C0C07398F")
    assert [uuid7_time(key) for key in (uuid.uuid4(), uuid.uuid1(), uuid.UUID(int=0), other_variant)] == [None] * 4


def test_time_past_year_9999__none_rather_than_an_error() -> None:
    assert uuid7_time(uuid.UUID("ffffffff-ffff-7000-8000-000000000000")) is None
