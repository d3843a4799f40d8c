"""Histories tampered with in the database itself, by someone who can switch its triggers off."""

import io
import shutil
from collections.abc import Callable
from contextlib import nullcontext
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from pytest_django import Settings

from fleet.models import HistoryEntry, Unit, UnitChain
from fleet.rules.records.chain import GENESIS, Link, content_hash, entry_hash
from fleet.rules.records.chain_check import Discrepancy, Fault
from fleet.services.records.digests import write_history_digest
from fleet.services.records.verification.verify import verify_history
from tests.factories.fleet import NOON, JobRunFactory, Tamper, write_entries

ENTRY = "WHERE unit_id = %s AND sequence = %s"
MOVE = "UPDATE fleet_historyentry SET sequence = %s WHERE unit_id = %s AND sequence = %s"


def found(digests: Path | None = None) -> list[tuple[Fault, object, object]]:
    return [
        (discrepancy.fault, discrepancy.unit, discrepancy.sequence) for discrepancy in verify_history(digests=digests)
    ]


def rewrite_from(unit: Unit, sequence: int, tamper: Tamper) -> None:
    """Change one entry's content and compute every hash after it anew, the chain row's too: what only a digest sees."""
    previous = GENESIS
    for entry in HistoryEntry.objects.filter(unit=unit).order_by("sequence"):
        salt, body = bytes(entry.content.salt), entry.content.body
        if entry.sequence == sequence:
            body = '{"value":"1.62"}'
            tamper("UPDATE fleet_historycontent SET body = %s WHERE entry_id = %s", body, entry.pk)
        link = Link(
            unit=unit.pk,
            sequence=entry.sequence,
            kind=entry.kind,
            subject=entry.subject,
            performed_at=entry.performed_at,
            recorded_at=entry.recorded_at,
            actor=entry.actor_id,
            content_hash=content_hash(salt, body),
            previous_hash=previous,
        )
        previous = entry_hash(link)
        tamper(
            "UPDATE fleet_historyentry SET content_hash = %s, previous_hash = %s, entry_hash = %s WHERE id = %s",
            link.content_hash,
            link.previous_hash,
            previous,
            entry.pk,
        )
    UnitChain.objects.filter(unit=unit).update(head=previous)


def remove_tail(unit: Unit, after: int, tamper: Tamper) -> None:
    tamper(
        "DELETE FROM fleet_historycontent WHERE entry_id IN "
        "(SELECT id FROM fleet_historyentry WHERE unit_id = %s AND sequence > %s)",
        unit.pk,
        after,
    )
    tamper("DELETE FROM fleet_historyentry WHERE unit_id = %s AND sequence > %s", unit.pk, after)


def test_clean_database_with_its_digest__nothing_found_and_all_counted(units: list[Unit], digests: Path) -> None:
    check = verify_history(digests=digests)

    assert list(check) == []
    assert (check.units, check.entries, check.purged, check.discrepancies) == (4, 18, 0, 0)


@pytest.mark.parametrize(
    "change",
    [
        "kind = 'certified'",
        "performed_at = performed_at + interval '1 microsecond'",
        "recorded_at = recorded_at + interval '1 day'",
        "actor_id = NULL",
        "subject = gen_random_uuid()",
        "entry_hash = decode(repeat('ab', 32), 'hex')",
    ],
)
def test_entry_changed__found_there(units: list[Unit], tamper: Tamper, change: str) -> None:
    assert tamper(f"UPDATE fleet_historyentry SET {change} {ENTRY}", units[1].pk, 3) == 1  # noqa: S608 - listed above

    assert (Fault.ENTRY_CHANGED, units[1].pk, 3) in found()
    assert {unit for _, unit, _ in found()} == {units[1].pk}


@pytest.mark.parametrize("change", ["body = '{}'", "salt = decode(repeat('ab', 16), 'hex')"])
def test_content_changed__found_there(units: list[Unit], tamper: Tamper, change: str) -> None:
    statement = f"UPDATE fleet_historycontent SET {change} FROM fleet_historyentry AS e WHERE entry_id = e.id"  # noqa: S608

    assert tamper(f"{statement} AND unit_id = %s AND sequence = %s", units[1].pk, 3) == 1

    assert found() == [(Fault.CONTENT_CHANGED, units[1].pk, 3)]


def test_entry_removed_from_the_middle__found_at_the_next(units: list[Unit], tamper: Tamper) -> None:
    entry = HistoryEntry.objects.get(unit=units[1], sequence=3)
    tamper("DELETE FROM fleet_historycontent WHERE entry_id = %s", entry.pk)
    tamper("DELETE FROM fleet_historyentry WHERE id = %s", entry.pk)

    assert found() == [(Fault.ENTRY_MISSING, units[1].pk, 4)]


def test_tail_removed__found_by_the_chain_row(units: list[Unit], tamper: Tamper) -> None:
    remove_tail(units[2], 4, tamper)

    assert found() == [(Fault.TAIL_REMOVED, units[2].pk, None)]


def test_tail_removed_and_chain_row_set_back__found_by_the_digest(
    units: list[Unit], tamper: Tamper, digests: Path
) -> None:
    remove_tail(units[2], 4, tamper)
    last = HistoryEntry.objects.get(unit=units[2], sequence=4)
    UnitChain.objects.filter(unit=units[2]).update(sequence=4, head=bytes(last.entry_hash))

    assert found() == []
    assert found(digests) == [(Fault.DIGEST_AHEAD, units[2].pk, 6)]


def test_rewritten_with_every_hash_anew__found_by_the_digest(units: list[Unit], tamper: Tamper, digests: Path) -> None:
    rewrite_from(units[0], 2, tamper)

    assert found() == []
    assert found(digests) == [(Fault.DIGEST_DIFFERS, units[0].pk, 6)]


def test_rewritten_before_the_last_digest__found_by_the_one_before(
    units: list[Unit], tamper: Tamper, digests: Path
) -> None:
    rewrite_from(units[0], 2, tamper)
    write_entries(units[0], 1)
    write_history_digest(directory=digests, now=NOON.replace(day=7))

    assert [(discrepancy.digest, discrepancy.fault) for discrepancy in verify_history(digests=digests)] == [
        ("history-2026-03-06.jsonl", Fault.DIGEST_DIFFERS)
    ]


def test_two_entries_swapped__found(units: list[Unit], tamper: Tamper) -> None:
    for place, target in ((2, 99), (3, 2), (99, 3)):
        tamper(MOVE, target, units[1].pk, place)

    assert {fault for fault, _, _ in found()} == {Fault.ENTRY_CHANGED, Fault.ORDER_BROKEN}
    assert {(unit, place) for _, unit, place in found()} == {(units[1].pk, 2), (units[1].pk, 3), (units[1].pk, 4)}


@pytest.mark.parametrize("change", [{"sequence": 5}, {"head": bytes(32)}])
def test_chain_row_altered__found(units: list[Unit], change: dict[str, object]) -> None:
    UnitChain.objects.filter(unit=units[1]).update(**change)

    assert found() == [(Fault.CHAIN_ALTERED, units[1].pk, None)]


def test_chain_row_removed__found(units: list[Unit]) -> None:
    UnitChain.objects.filter(unit=units[1]).delete()

    assert found() == [(Fault.CHAIN_MISSING, units[1].pk, None)]


def test_chain_row_removed_of_the_last_unit__found(units: list[Unit]) -> None:
    write_entries(units[3], 1)
    UnitChain.objects.filter(unit=units[3]).delete()

    assert found() == [(Fault.CHAIN_MISSING, units[3].pk, None)]


def test_two_units_tampered_with__each_named(units: list[Unit], tamper: Tamper) -> None:
    remove_tail(units[0], 5, tamper)
    tamper("UPDATE fleet_historyentry SET kind = 'x' WHERE unit_id = %s AND sequence = 1", units[2].pk)

    assert found() == [(Fault.TAIL_REMOVED, units[0].pk, None), (Fault.ENTRY_CHANGED, units[2].pk, 1)]


def test_content_removed_past_the_purge__missing(units: list[Unit], tamper: Tamper, digests: Path) -> None:
    entry = HistoryEntry.objects.get(unit=units[1], sequence=3)
    tamper("DELETE FROM fleet_historycontent WHERE entry_id = %s", entry.pk)

    assert found(digests) == [(Fault.CONTENT_MISSING, units[1].pk, 3)]


class TestDigestFiles:
    def test_line_changed__file_damaged(self, units: list[Unit], digests: Path) -> None:
        path = next(digests.iterdir())
        path.chmod(0o644)
        path.write_bytes(path.read_bytes().replace(b'"sequence":6', b'"sequence":5', 1))

        assert [discrepancy.fault for discrepancy in verify_history(digests=digests)] == [Fault.DIGEST_DAMAGED]

    @pytest.mark.parametrize("kept", [0, 1, 3, 4])
    def test_file_cut_off__damaged(self, units: list[Unit], digests: Path, kept: int) -> None:
        path = next(digests.iterdir())
        path.chmod(0o644)
        path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:kept]))

        assert [discrepancy.fault for discrepancy in verify_history(digests=digests)] == [Fault.DIGEST_DAMAGED]

    @pytest.mark.parametrize("content", [b"\xff\xfe", b"[]\n", b'{"form":2}\n', b"{}\n", b"1\n"])
    def test_something_else_in_its_place__damaged(self, units: list[Unit], digests: Path, content: bytes) -> None:
        path = next(digests.iterdir())
        path.chmod(0o644)
        path.write_bytes(content)

        assert [discrepancy.fault for discrepancy in verify_history(digests=digests)] == [Fault.DIGEST_DAMAGED]

    def test_one_of_three_removed__found_at_the_next(self, units: list[Unit], digests: Path) -> None:
        for day in (7, 8):
            write_history_digest(directory=digests, now=NOON.replace(day=day))
        (digests / "history-2026-03-07.jsonl").unlink()

        assert list(verify_history(digests=digests)) == [
            Discrepancy(
                Fault.DIGEST_MISSING,
                digest="history-2026-03-08.jsonl",
                detail="it was written after history-2026-03-07.jsonl",
            )
        ]

    def test_first_removed__found_at_the_next(self, units: list[Unit], digests: Path) -> None:
        write_history_digest(directory=digests, now=NOON.replace(day=7))
        (digests / "history-2026-03-06.jsonl").unlink()

        assert [discrepancy.fault for discrepancy in verify_history(digests=digests)] == [Fault.DIGEST_MISSING]

    def test_replaced_by_a_sound_one__found_at_the_next(self, units: list[Unit], digests: Path, tmp_path: Path) -> None:
        write_history_digest(directory=digests, now=NOON.replace(day=7))
        first = digests / "history-2026-03-06.jsonl"
        write_history_digest(directory=tmp_path / "other", now=NOON.replace(hour=20))
        first.unlink()
        shutil.copy(tmp_path / "other" / first.name, first)

        assert [(discrepancy.digest, discrepancy.fault) for discrepancy in verify_history(digests=digests)] == [
            ("history-2026-03-07.jsonl", Fault.DIGEST_MISSING)
        ]

    def test_unchanged_units__looked_up_once_only(self, units: list[Unit], digests: Path) -> None:
        for day in (7, 8, 9):
            write_history_digest(directory=digests, now=NOON.replace(day=day))
        asked: list[object] = []

        def listen(run: Callable[..., Any], statement: str, params: Any, many: bool, context: Any) -> Any:
            if "WITH ORDINALITY" in statement:
                asked.extend(params[0])
            return run(statement, params, many, context)

        with connection.execute_wrapper(listen):
            assert list(verify_history(digests=digests)) == []

        assert len(asked) == 4


def test_inside_a_transaction__refused(committing_db: object) -> None:
    with transaction.atomic(), pytest.raises(RuntimeError, match="durable"):
        list(verify_history())


class TestCommand:
    def run(self, **options: object) -> str:
        output = io.StringIO()
        call_command("verify_history", stdout=output, no_color=True, **options)
        return output.getvalue()

    def test_clean__says_what_was_looked_at(self, units: list[Unit], digests: Path) -> None:
        assert self.run(digests=digests) == (
            f"18 entries of 4 units, 0 of them purged; compared with 1 digests of {digests}\nno fault found\n"
        )

    def test_tampered__a_line_for_each_and_leaves_with_1(
        self, units: list[Unit], tamper: Tamper, digests: Path
    ) -> None:
        remove_tail(units[2], 4, tamper)
        output = io.StringIO()

        with pytest.raises(CommandError) as raised:
            call_command("verify_history", digests=digests, stdout=output)

        assert raised.value.returncode == 1
        assert output.getvalue().splitlines()[:2] == [
            f"unit {units[2].pk}: entries are missing at the end (the chain row counts 6, the last is 4)",
            f"history-2026-03-06.jsonl unit {units[2].pk} entry 6: the digest knows an entry that is not there",
        ]

    def test_folder_named_and_empty__leaves_with_2(self, committing_db: object, tmp_path: Path) -> None:
        with pytest.raises(CommandError) as raised:
            self.run(digests=tmp_path)

        assert raised.value.returncode == 2

    def test_no_digests_yet__says_so(self, units: list[Unit], settings: object, tmp_path: Path) -> None:
        settings.HISTORY_DIGEST_DIR = tmp_path / "none"  # type: ignore[attr-defined]  # pytest-django's

        assert "compared with no digests, there are none yet" in self.run()

    @pytest.mark.parametrize(("days", "lost"), [(1, True), (-1, False)])
    def test_digests_that_were_written_and_are_gone__are_a_fault(
        self, units: list[Unit], settings: Settings, tmp_path: Path, days: int, lost: bool
    ) -> None:
        """One that was written before there was any history is none."""
        settings.HISTORY_DIGEST_DIR = tmp_path / "mistyped"
        JobRunFactory.create(name="write_history_digest", ended_well_at=NOON + timedelta(days=days))
        output = io.StringIO()

        with pytest.raises(CommandError, match="1 faults found") if lost else nullcontext():
            call_command("verify_history", stdout=output)

        said = f"a digest was written on 2026-03-07, and there is none in {tmp_path / 'mistyped'}"
        assert (said in output.getvalue()) is lost
