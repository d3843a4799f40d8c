"""One run over all histories: what was found, and how much was looked at."""

import json
from collections.abc import Iterator
from itertools import groupby
from operator import attrgetter
from pathlib import Path

from django.db import connection, transaction

from common.composition import contributed
from common.snapshots import SNAPSHOT
from fleet.rules.records.chain_check import ChainCheck, Discrepancy, Head
from fleet.rules.records.recount import OnRecord, RecordCheck, Said
from fleet.selectors.records.recounts import Recounted
from fleet.services.records.verification.chains import stored_histories
from fleet.services.records.verification.digest_check import Restores, check_digests

PATIENCE = "SET LOCAL statement_timeout = 0; SET LOCAL idle_in_transaction_session_timeout = '10min'"


class Verification:
    """Iterate over it to run the check; the counts are complete once it has been read to the end."""

    def __init__(self, digests: Path | None) -> None:
        self.digests = digests
        self.units = 0
        self.entries = 0
        self.purged = 0
        self.discrepancies = 0
        self.restores: list[str] = []
        self.explained = 0

    def __iter__(self) -> Iterator[Discrepancy]:
        """Every fault, in one snapshot of the database and in memory that does not grow with it."""
        with transaction.atomic(durable=True):
            with connection.cursor() as cursor:
                cursor.execute(SNAPSHOT)
                cursor.execute(PATIENCE)
            for discrepancy in self._found():
                self.discrepancies += 1
                yield discrepancy

    def _found(self) -> Iterator[Discrepancy]:
        kinds = tuple(recounted.recount for recounted in contributed(Recounted))
        recipients_of = frozenset().union(*(recount.kinds for recount in kinds))
        for unit, rows in groupby(stored_histories(), key=attrgetter("unit")):
            check, records = ChainCheck(unit), RecordCheck(unit, kinds)
            for row in rows:
                if isinstance(row, Head):
                    check.head = row
                elif isinstance(row, OnRecord):
                    records.note(row)
                else:
                    yield from check.take(row)
                    if row.link.kind in recipients_of and row.link.subject is not None:
                        body = None if row.body is None else json.loads(row.body)
                        records.take(Said(row.link.kind, row.link.subject, body))
            yield from check.end()
            yield from records.end()
            self.units += 1
            self.entries += check.entries
            self.purged += check.purged
        if self.digests is not None:
            restores = Restores()
            yield from check_digests(self.digests, restores)
            self.restores = [str(restore) for restore in restores.on_record]
            self.explained = restores.explained


def verify_history(*, digests: Path | None = None) -> Verification:
    """A check of every unit's history against itself, its chain row, the records that stand, and digests of a folder.

    RuntimeError inside a transaction of the caller's: it needs a snapshot of its own.
    """
    return Verification(digests)
