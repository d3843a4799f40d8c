"""A write about units begins with their locks, and those last as long as a transaction does."""

from uuid import UUID

import pytest
from django.db import transaction
from django.db.transaction import TransactionManagementError

from common.errors import NotFound
from fleet.services.records.unit_of_work import lock_units
from tests.factories.fleet import make_unit
from tests.support.committing import CommittingDatabase


def test_outside_a_transaction__refused(committing_db: CommittingDatabase) -> None:
    unit = make_unit()
    with transaction.atomic():
        assert [chain.unit_id for chain in lock_units([unit.pk])] == [unit.pk]

    with pytest.raises(TransactionManagementError, match="within a transaction"):
        lock_units([unit.pk])


def test_unit_without_a_history__not_found(db: None) -> None:
    with pytest.raises(NotFound, match="unit_unknown"):
        lock_units([make_unit().pk, UUID(int=7)])
