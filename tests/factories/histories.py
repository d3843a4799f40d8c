"""Histories of units, written by the service itself."""

import datetime as dt
from collections.abc import Callable

from fleet.models import Unit
from fleet.services.records.unit_of_work import unit_of_work
from tests.factories.notices import NOON, make_person

Tamper = Callable[..., int]
"""Runs one statement on the tables of history with their triggers off; how many rows it changed."""


def write_entries(unit: Unit, count: int, at: dt.datetime = NOON) -> None:
    """Append this many entries, in one transaction, a minute apart."""
    actor = make_person("Iris Quade")
    with unit_of_work([unit.pk], actor=actor, now=at + dt.timedelta(minutes=7)) as work:
        for number in range(count):
            work.record(
                unit.pk,
                "defect_reported",
                subject=None,
                performed_at=at + dt.timedelta(minutes=number),
                body={"point": "brakes.stroke", "value": f"2.{number}1"},
            )
