"""The demo's thirty days: the last three with a standing clock, broken off and played on; the whole as a drill."""

import struct
import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from io import StringIO
from pathlib import Path
from typing import NamedTuple

import pytest
import time_machine
from django.core.management import call_command
from django.core.management.base import CommandError
from django.test import override_settings
from pytest_django import Settings
from pytest_django.plugin import DjangoDbBlocker

from common import clock
from common.jobs import Run, jobs
from config.database_url import Database
from defects.models import (
    Clearance,
    Defect,
    Hold,
    LimitedMove,
    Load,
    LoadAtRisk,
    Photo,
    Refusal,
    RoadsideInspection,
    ScaleTicket,
    Walkaround,
)
from fixtures.life import drivers, faults, pictures
from fixtures.life.playing import play_life
from fixtures.life.units import UNITS
from fixtures.scenario.days import DAYS
from fixtures.scenario.stage import Stage
from fleet.models import CoolingReading, HistoryEntry, MeterReading, Notification, Unit, Whereabouts
from tests.factories.fleet import NOON
from tests.lived.names import QUERIES
from tests.support.acting import acting_as
from tests.support.committing import committing
from tests.support.database import pointed_at
from tests.support.ninefold import Standing, person
from tests.support.prepared import copy_of, rolled_back
from tests.support.routes import operations
from workorders.models import RepairOrder

pytestmark = [pytest.mark.long, pytest.mark.timeout(240)]
SHORT = 3
CAST = ("iris", "mara", "greta", "hob", "vera", "cal", "lena")
"""One of each role."""
LISTS = [get for get in operations() if get.method == "GET" and "<" not in get.route and get.route != "signing-link"]


class Entry(NamedTuple):
    """One entry of a unit's history."""

    unit: str
    sequence: int
    kind: str
    recorded_at: datetime
    actor: str


@dataclass(frozen=True)
class Lived:
    """A database in which the last days were played, what they tell, what the middle one told before, and its days."""

    name: str
    told: list[Entry]
    again: list[Entry]
    days: list[tuple[int, date]]


def _told() -> list[Entry]:
    """What stands in every unit's history, with its instants."""
    columns = ("unit__number", "sequence", "kind", "recorded_at", "actor__username")
    return [Entry(*row) for row in HistoryEntry.objects.order_by("unit__number", "sequence").values_list(*columns)]


@pytest.fixture(scope="module")
def lived(
    noon_template: str,
    database_server: Database,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Lived]:
    """Broken off after the first day, and played on: in a copy for one day more, and here to the end."""
    days: list[tuple[int, date]] = []
    with (
        copy_of(noon_template, "life", database_server) as name,
        override_settings(MEDIA_ROOT=tmp_path_factory.mktemp("life")),
    ):
        with time_machine.travel(NOON, tick=False):
            with django_db_blocker.unblock(), pointed_at(name):
                _play_a_day()
            with committing(django_db_blocker, database_server, name):
                _play_a_day()
                again = _told()
            with django_db_blocker.unblock(), pointed_at(name):
                play_life(lambda number, day: days.append((number, day)), days=SHORT)
                told = _told()
        yield Lived(name, told, again, days)


def _play_a_day() -> None:
    with pytest.raises(KeyboardInterrupt):
        play_life(_interrupted, days=SHORT)


def _interrupted(_number: int, _day: date) -> None:
    raise KeyboardInterrupt


@pytest.fixture
def life(lived: Lived, django_db_blocker: DjangoDbBlocker) -> Iterator[Lived]:
    """It in a transaction that is rolled back, at the same standing noon."""
    with time_machine.travel(NOON, tick=False), rolled_back(lived.name, django_db_blocker):
        yield lived


def test_last_days__are_walked_and_tell_each_day(life: Lived) -> None:
    today = clock.day_in_zone(NOON, "America/Chicago")
    # it was broken off after day 28
    assert life.days == [
        (29, today - timedelta(days=2)),
        (30, today - timedelta(days=1)),
    ]
    assert Unit.objects.filter(number__in=UNITS).count() == len(UNITS) == 38
    trips = [trip for day in (27, 28, 29) for trip in drivers.trips_of(day, today)]
    assert Walkaround.objects.filter(kind="pre_trip").count() == len(trips) > 4
    assert HistoryEntry.objects.filter(recorded_at__gt=NOON).count() == 0
    assert Load.objects.filter(number__startswith="NL-61").count() == 3
    assert MeterReading.objects.filter(unit__number__in=UNITS).count() > len(trips)
    assert Clearance.objects.count() >= len(trips)


def test_scenario_units__stay_as_they_are_loaded(life: Lived) -> None:
    ours = HistoryEntry.objects.exclude(unit__number__in=UNITS)
    assert ours.filter(recorded_at__lt=NOON).count() == 0


@pytest.mark.parametrize("username", CAST)
def test_every_list__answers_each_role(life: Lived, username: str) -> None:
    reader = acting_as(person(username))
    for get in LISTS:
        answer = reader.get(get.path, **QUERIES.get(get.route, {}))
        assert answer.status_code in {200, 403, 404} or answer.json()["code"] == "unit_needed", (get, answer.content)


def test_jobs__all_run(
    lived: Lived, django_db_blocker: DjangoDbBlocker, database_server: Database, settings: Settings, tmp_path: Path
) -> None:
    settings.HISTORY_DIGEST_DIR, settings.MEDIA_ROOT = tmp_path / "digests", tmp_path
    with time_machine.travel(NOON, tick=False), committing(django_db_blocker, database_server, lived.name):
        for job in jobs():
            job.run(Run(clock=clock.now))
        play_life(_interrupted, days=SHORT)  # nothing is left to be played
        call_command("verify_history", stdout=StringIO())


def test_day_played_twice__is_the_same_to_the_second(lived: Lived) -> None:
    ended = max(entry.recorded_at for entry in lived.again if entry.recorded_at < NOON)
    assert lived.again == [entry for entry in lived.told if entry.recorded_at <= ended or entry.recorded_at >= NOON]
    assert len(lived.told) > len(lived.again)


def test_command__is_refused_without_a_carrier_and_says_from_which_day_the_days_are(
    life: Lived, settings: Settings
) -> None:
    settings.LOCAL_DEMO = False
    with pytest.raises(CommandError, match="only where LOCAL_DEMO"):
        call_command("play_life")


def test_plan__is_the_same_for_the_same_seed_and_another_for_another() -> None:
    today = date(2026, 3, 2)
    plans = [[trip for day in range(30) for trip in drivers.trips_of(day, today, seed)] for seed in (9, 9, 10)]
    assert plans[0] == plans[1] != plans[2]
    assert faults.faults_of(plans[0]) == faults.faults_of(plans[1])


@pytest.mark.parametrize("today", [date(2026, 3, day) for day in range(1, 8)])
def test_plan__is_thinner_at_weekends_and_believable_on_whatever_day_it_ends(today: date) -> None:
    by_day = {day: drivers.trips_of(day, today) for day in range(drivers.DAYS)}
    for day, trips in by_day.items():
        weekend = (today - timedelta(days=drivers.DAYS - day)).weekday() >= 5
        assert len(trips) <= (3 if weekend else 12)
        assert len({trip.tractor for trip in trips}) == len({trip.trailer for trip in trips}) == len(trips)
    trips = [trip for day in by_day.values() for trip in day]
    found = faults.faults_of(trips)
    assert 30 <= len(found) <= 70
    assert set(faults.Fate) == {fault.fate for fault in found}
    assert Counter(fault.unit for fault in found).most_common(1)[0][0] == "LR-58"
    assert not [fault for fault in found if fault.day > fault.repaired_on]
    assert {(fault.unit, fault.day) for fault in found} >= {("LR-58", 29), ("CU-59", 29), ("NL-30", 29)}
    assert sum(trip.left for trip in trips) == sum(trip.fetched for trip in trips) >= 1


@pytest.mark.parametrize("subject", sorted(pictures.SUBJECTS))
def test_drawing__is_a_png_and_the_same_for_the_same_seed(subject: str) -> None:
    drawn = pictures.draw(subject, "LR-58 5 found")
    assert drawn == pictures.draw(subject, "LR-58 5 found") != pictures.draw(subject, "LR-58 6 found")
    assert drawn.startswith(b"\x89PNG\r\n\x1a\n")
    assert struct.unpack(">II", drawn[16:24]) == (192, 144)
    length = int.from_bytes(drawn[33:37])
    assert len(zlib.decompress(drawn[41 : 41 + length])) == 144 * (1 + 3 * 192)
    assert len(drawn) < 12_000


@pytest.mark.drill
@pytest.mark.timeout(1200)
def test_whole_thirty_days__hide_no_day_of_the_scenario(
    stage: Stage, standing_server: Standing, django_db_blocker: DjangoDbBlocker, settings: Settings, tmp_path: Path
) -> None:
    """Played into the database of the server that the scenario's people use afterwards."""
    settings.MEDIA_ROOT = tmp_path
    with django_db_blocker.unblock(), pointed_at(standing_server.database.name):
        days: list[int] = []
        play_life(lambda number, _day: days.append(number))
        assert days == list(range(1, 31))
        _every_kind_is_there()
        call_command("verify_history", stdout=StringIO())
    for number in sorted(DAYS):
        DAYS[number].play(stage)


def _every_kind_is_there() -> None:
    states = set(RepairOrder.objects.values_list("state", flat=True))
    assert states >= {"open", "assigned", "in_progress", "waiting", "work_done", "closed", "cancelled"}, states
    states = set(Defect.objects.values_list("state", flat=True))
    assert states >= {"reported", "in_repair", "deferred", "certified", "closed"}, states
    assert {load.delivered_at is None for load in Load.objects.all()} == {True, False}
    assert Load.objects.filter(cancelled_at__isnull=False).exists()
    assert Hold.objects.filter(lifted_at__isnull=True).exists()
    assert Hold.objects.filter(lifted_at__isnull=False).count() > 4
    assert {risk.closed_at is None for risk in LoadAtRisk.objects.all()} == {True, False}
    assert {one.is_clean for one in RoadsideInspection.objects.all()} == {True, False}
    for model, least in ((Refusal, 1), (LimitedMove, 1), (Photo, 50), (ScaleTicket, 20), (CoolingReading, 500)):
        assert model._default_manager.count() >= least, model
    assert Whereabouts.objects.filter(location="site", site__code="cold-store-three").exists()
    assert Notification.objects.filter(acknowledged_at__isnull=False).count() > 20
    assert Clearance.objects.filter(answer="barred").count() > 10
