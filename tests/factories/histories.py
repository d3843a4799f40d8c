"""Histories of units, written by the service itself."""

import datetime as dt
from collections.abc import Callable

from django.db import transaction

from fleet.models import Unit
from fleet.services.records.history import lock_units
from tests.factories.notices import NOON, make_person

Tamper = Callable[..., int]
"""Runs one statement on the tables of history with their triggers off; how many rows it changed."""


def write_entries(unit: Unit, count: int, at: dt.datetime = NOON) -> None:
    """Append this many entries, in one transaction, a minute apart."""
    actor = make_person("Iris Quade")
    with transaction.atomic():
        ledger = lock_units([unit.pk])
        for number in range(count):
            ledger.record(
                unit.pk,
                "defect_reported",
                subject=None,
                performed_at=at + dt.timedelta(minutes=number),
                actor=actor.pk,
                body={"point": "brakes.stroke", "value": f"2.{number}1"},
            )
        ledger.write(now=at + dt.timedelta(minutes=7))
