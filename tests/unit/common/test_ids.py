"""Keys are UUIDv7."""

import uuid

from common.ids import uuid7


def test_new_key__version_7_of_the_rfc_variant() -> None:
    key = uuid7()
    assert (key.version, key.variant) == (7, uuid.RFC_4122)


def test_many_keys__grow_and_never_repeat() -> None:
    keys = [uuid7() for _ in range(5000)]
    assert keys == sorted(set(keys))
