import dataclasses
import datetime as dt
from collections.abc import Sequence
from typing import Any
from uuid import UUID

import pytest

from fleet.rules.records.chain import GENESIS, Link, content_hash, entry_hash
from fleet.rules.records.chain_check import ChainCheck, Discrepancy, Fault, Head, StoredLink

UNIT = UUID("019cc000-0000-7000-8000-000000000001")
AT = dt.datetime(2026, 3, 6, 18, tzinfo=dt.UTC)
SALT = bytes(range(16))


def history(length: int = 4) -> list[StoredLink]:
    links: list[StoredLink] = []
    previous = GENESIS
    for sequence in range(1, length + 1):
        body = f'{{"value":"2.{sequence}1"}}'
        link = Link(
            unit=UNIT,
            sequence=sequence,
            kind="defect_reported",
            subject=UUID(int=sequence),
            performed_at=AT,
            recorded_at=AT,
            actor=UUID(int=99),
            content_hash=content_hash(SALT, body),
            previous_hash=previous,
        )
        previous = entry_hash(link)
        links.append(StoredLink(link, previous, SALT, body))
    return links


def found(links: Sequence[StoredLink], head: Head | None) -> list[tuple[Fault, int | None]]:
    check = ChainCheck(UNIT)
    check.head = head
    discrepancies = [discrepancy for link in links for discrepancy in check.take(link)]
    return [(discrepancy.fault, discrepancy.sequence) for discrepancy in [*discrepancies, *check.end()]]


def whole(links: Sequence[StoredLink]) -> Head:
    return Head(UNIT, len(links), links[-1].entry_hash if links else GENESIS)


def changed(links: list[StoredLink], place: int, **fields: object) -> list[StoredLink]:
    stored = links[place - 1]
    links[place - 1] = dataclasses.replace(stored, link=dataclasses.replace(stored.link, **fields))  # type: ignore[arg-type]
    return links


@pytest.mark.parametrize("length", [0, 1, 4])
def test_untouched__nothing_found(length: int) -> None:
    links = history(length)

    assert found(links, whole(links)) == []


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("kind", "certified"),
        ("subject", None),
        ("performed_at", AT + dt.timedelta(seconds=1)),
        ("recorded_at", AT + dt.timedelta(seconds=1)),
        ("actor", None),
        ("unit", UUID(int=7)),
    ],
)
def test_field_of_an_entry_changed__found_at_that_entry(field: str, value: object) -> None:
    head = whole(history())

    assert found(changed(history(), 2, **{field: value}), head) == [(Fault.ENTRY_CHANGED, 2)]


def test_content_changed__found_at_that_entry() -> None:
    links = history()
    links[1] = dataclasses.replace(links[1], body='{"value":"1.62"}')

    assert found(links, whole(links)) == [(Fault.CONTENT_CHANGED, 2)]


def test_content_and_its_hash_changed__found_as_a_changed_entry() -> None:
    head = whole(history())
    links = changed(history(), 2, content_hash=content_hash(SALT, "{}"))
    links[1] = dataclasses.replace(links[1], body="{}")

    assert found(links, head) == [(Fault.ENTRY_CHANGED, 2)]


def test_entry_rewritten_with_its_own_hash__the_next_no_longer_follows() -> None:
    head = whole(history())
    links = changed(history(), 2, kind="certified")
    links[1] = dataclasses.replace(links[1], entry_hash=entry_hash(links[1].link))

    assert found(links, head) == [(Fault.ORDER_BROKEN, 3)]


def test_last_entry_rewritten_with_its_own_hash__chain_row_does_not_fit() -> None:
    head = whole(history())
    links = changed(history(), 4, kind="certified")
    links[3] = dataclasses.replace(links[3], entry_hash=entry_hash(links[3].link))

    assert found(links, head) == [(Fault.CHAIN_ALTERED, None)]


@pytest.mark.parametrize("place", [1, 2, 3])
def test_entry_missing__found_at_the_next(place: int) -> None:
    links = history()
    head = whole(links)
    del links[place - 1]

    assert found(links, head) == [(Fault.ENTRY_MISSING, place + 1)]


def test_tail_removed__found_by_the_chain_row() -> None:
    assert found(history()[:2], whole(history())) == [(Fault.TAIL_REMOVED, None)]


def test_everything_removed__found_by_the_chain_row() -> None:
    assert found([], whole(history())) == [(Fault.TAIL_REMOVED, None)]


def test_two_entries_swapped__both_changed_and_the_order_broken() -> None:
    head = whole(history())
    links = history()
    second, third = links[1], links[2]
    links[1] = dataclasses.replace(third, link=dataclasses.replace(third.link, sequence=2))
    links[2] = dataclasses.replace(second, link=dataclasses.replace(second.link, sequence=3))

    assert found(links, head) == [
        (Fault.ORDER_BROKEN, 2),
        (Fault.ENTRY_CHANGED, 2),
        (Fault.ORDER_BROKEN, 3),
        (Fault.ENTRY_CHANGED, 3),
        (Fault.ORDER_BROKEN, 4),
    ]


@pytest.mark.parametrize("altered", [{"head": bytes(32)}, {"sequence": 3}])
def test_chain_row_altered__found(altered: dict[str, Any]) -> None:
    assert found(history(), dataclasses.replace(whole(history()), **altered)) == [(Fault.CHAIN_ALTERED, None)]


def test_chain_row_missing__found() -> None:
    assert found(history(), None) == [(Fault.CHAIN_MISSING, None)]


def test_content_purged__counted_and_no_fault() -> None:
    links = history()
    links[1] = dataclasses.replace(links[1], salt=None, body=None, deleted_hash=links[1].link.content_hash)
    check = ChainCheck(UNIT)
    check.head = whole(links)

    discrepancies = [discrepancy for link in links for discrepancy in check.take(link)]

    assert [*discrepancies, *check.end()] == []
    assert (check.entries, check.purged) == (4, 1)


def test_content_gone_without_a_record_of_its_deletion__missing() -> None:
    links = history()
    links[1] = dataclasses.replace(links[1], salt=None, body=None)

    assert found(links, whole(links)) == [(Fault.CONTENT_MISSING, 2)]


@pytest.mark.parametrize("gone", [True, False])
def test_deletion_of_something_else_or_of_what_is_there__false(gone: bool) -> None:
    links = history()
    other = b"\x00" * 32 if gone else links[1].link.content_hash
    left = {"salt": None, "body": None} if gone else {}
    links[1] = dataclasses.replace(links[1], deleted_hash=other, **left)  # type: ignore[arg-type]

    assert found(links, whole(links)) == [(Fault.DELETION_FALSE, 2)]


def test_finding__reads_as_a_line_with_its_place() -> None:
    assert (
        str(Discrepancy(Fault.ENTRY_MISSING, unit=UNIT, sequence=3, detail="the one before is 1"))
        == f"unit {UNIT} entry 3: entries are missing before this one (the one before is 1)"
    )
    assert (
        str(Discrepancy(Fault.DIGEST_DIFFERS, unit=UNIT, sequence=3, digest="history-2026-03-06.jsonl"))
        == f"history-2026-03-06.jsonl unit {UNIT} entry 3: the digest knows another entry in this place"
    )
