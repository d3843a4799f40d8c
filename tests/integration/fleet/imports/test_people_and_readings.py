import datetime as dt
from decimal import Decimal

import pytest
from django.contrib.auth import authenticate

from common.errors import NotAllowed
from fleet.enums import MeterKind, Role, RowOutcome, UnitKind
from fleet.models import HistoryEntry, MeterReading, Person
from fleet.services.imports.run import Table
from fleet.services.people.people import set_password
from fleet.services.units.meters import replace_meter
from tests.factories.fleet import NOON, make_person, make_reading, make_unit
from tests.support.contents import contents
from tests.support.tables import changes, outcomes, problems, take_in

pytestmark = pytest.mark.django_db

CREATED, UNCHANGED, REFUSED = RowOutcome.CREATED, RowOutcome.UNCHANGED, RowOutcome.REFUSED
LONG_PASSWORD = "nine larders on the road"


@pytest.fixture
def admin() -> Person:
    return make_person("Hob Anselm", Role.ADMINISTRATOR)


def test_new_person__cannot_sign_in_before_an_administrator_gave_a_password(admin: Person) -> None:
    rows = [{"name": "Tomo Vell", "username": "Tomo", "phone": "+1 555 0101", "language": "es"}]
    assert outcomes(take_in(Table.PEOPLE, rows, admin)) == {2: CREATED}
    tomo = Person.objects.get(username="tomo")
    assert (tomo.name, tomo.phone, tomo.language, tomo.has_usable_password()) == (
        "Tomo Vell",
        "+1 555 0101",
        "es",
        False,
    )
    assert authenticate(username="tomo", password="") is None
    set_password(person_id=tomo.pk, version=1, password=LONG_PASSWORD, actor=admin, now=NOON)
    assert outcomes(take_in(Table.PEOPLE, rows, admin)) == {2: UNCHANGED}
    assert authenticate(username="tomo", password=LONG_PASSWORD) == tomo


def test_known_people__are_found_by_sign_in_or_by_name_and_firm(admin: Person) -> None:
    ada = make_person("Ada Brisk", username="ada", email="old@example.org")
    rita = make_person("Rita Sand", firm="Crookspoke")
    make_person("Rita Sand", firm="Elsewhere")
    rows = [
        {"name": "Ada Brisk-Vell", "username": "ada", "firm": "", "email": "ada@example.org"},
        {"name": "Rita Sand", "username": "", "firm": "Crookspoke", "email": "rita@example.org"},
        {"name": "Sol Marrin", "username": "", "firm": "", "email": "no address"},
        {"name": "rita sand", "username": "", "firm": "crookspoke", "email": ""},
    ]
    report = take_in(Table.PEOPLE, rows, admin)
    assert changes(report) == {
        2: [("name", "Ada Brisk", "Ada Brisk-Vell"), ("email", "old@example.org", "ada@example.org")],
        3: [("email", "", "rita@example.org")],
    }
    assert problems(report) == {4: [("email", "not_an_address")], 5: [("", "row_twice")]}
    assert [Person.objects.get(pk=person.pk).version for person in (ada, rita)] == [2, 2]


def test_name_of_one_who_left__is_given_to_nobody_else(admin: Person) -> None:
    make_person("Gone", username="tomo", left_on=dt.date(2026, 1, 1))
    rows = [{"name": "Tomo Vell", "username": "tomo"}]
    assert problems(take_in(Table.PEOPLE, rows, admin)) == {2: [("username", "username_taken")]}


def test_people__are_taken_in_by_administrators_alone(vera: Person) -> None:
    with pytest.raises(NotAllowed, match="sign_in_needs_administrator"):
        take_in(Table.PEOPLE, [{"name": "Tomo Vell"}], vera)


def reading(shown: str, read_at: str, *, unit: str = "NL-1", meter: str = "odometer_mi") -> dict[str, str]:
    return {"unit": unit, "meter": meter, "shown": shown, "read_at": read_at}


def test_readings__enter_the_series_in_any_order_of_rows(vera: Person) -> None:
    unit = make_unit(number="NL-1")
    rows = [reading("1500.5", "2026-03-05T06:00:00-06:00"), reading("1000", "2026-03-04 06:00")]
    assert outcomes(take_in(Table.METER_READINGS, rows, vera)) == {2: CREATED, 3: CREATED}
    stored = MeterReading.objects.order_by("read_at").values_list("read_at", "shown", "total", "recorded_by")
    utc = dt.UTC
    assert list(stored) == [
        (dt.datetime(2026, 3, 4, 12, tzinfo=utc), Decimal("1000.0"), Decimal("1000.0"), vera.pk),
        (dt.datetime(2026, 3, 5, 12, tzinfo=utc), Decimal("1500.5"), Decimal("1500.5"), vera.pk),
    ]
    assert HistoryEntry.objects.filter(unit=unit, kind="meter_read").count() == 2


def test_same_readings_again__change_nothing_and_another_value_is_refused(vera: Person) -> None:
    make_unit(number="NL-1")
    rows = [reading("1000", "2026-03-04T12:00:00Z")]
    take_in(Table.METER_READINGS, rows, vera)
    before = contents()
    assert outcomes(take_in(Table.METER_READINGS, rows, vera)) == {2: UNCHANGED}
    other = take_in(Table.METER_READINGS, [reading("1001", "2026-03-04T06:00:00-06:00")], vera)
    assert problems(other) == {2: [("shown", "reading_on_record")]}
    assert contents() == before


def test_replaced_meter__is_refused_until_recorded_with_its_offset(vera: Person) -> None:
    unit = make_unit(number="NL-1")
    rows = [
        reading("90000", "2026-03-01T12:00:00Z"),
        reading("10", "2026-03-02T12:00:00Z"),
        reading("400", "2026-03-03T12:00:00Z"),
    ]
    refused = take_in(Table.METER_READINGS, rows, vera)
    assert problems(refused) == {number: [("shown", "reading_falling")] for number in (3, 4)}
    take_in(Table.METER_READINGS, rows[:1], vera)
    replace_meter(
        unit_id=unit.pk,
        meter=MeterKind.ODOMETER_MI,
        replaced_at=dt.datetime(2026, 3, 2, 12, tzinfo=dt.UTC),
        last_shown=Decimal(90500),
        first_shown=Decimal(10),
        reason="display dead",
        actor=vera,
        now=NOON,
    )
    assert outcomes(take_in(Table.METER_READINGS, rows, vera)) == {2: UNCHANGED, 3: UNCHANGED, 4: CREATED}
    totals = MeterReading.objects.order_by("read_at").values_list("total", flat=True)
    assert [*map(str, totals)] == ["90000.0", "90500.0", "90890.0"]


def test_reading_that_contradicts_its_neighbours__is_refused(vera: Person) -> None:
    unit = make_unit(number="NL-1")
    make_unit(UnitKind.COOLING_UNIT, "CU-1")
    for day, shown in ((1, "1000.0"), (3, "1200.0"), (5, "1400.0")):
        make_reading(unit, shown, read_at=dt.datetime(2026, 3, day, tzinfo=dt.UTC), meter=MeterKind.ODOMETER_MI)
    rows = [
        reading("1300", "2026-03-04T00:00:00Z"),
        reading("1500", "2026-03-02T00:00:00Z"),
        reading("1290", "2026-03-04T12:00:00Z"),
        reading("9999", "2026-03-06T00:00:00Z"),
        reading("1", "2026-03-04T00:00:00Z", unit="CU-1"),
        reading("1", "2026-03-07T00:00:00Z"),
        reading("-1", "2026-03-01T12:00:00Z", unit="CU-1", meter="engine_h"),
        reading("1", "yesterday"),
        reading("1", "2026-03-08 02:30"),
        reading("1", "46084.25"),
        reading("1.25", "2026-03-04T01:00:00Z"),
        reading("1", "2025-11-02 01:30"),
    ]
    report = take_in(Table.METER_READINGS, rows, vera)
    assert outcomes(report)[2] is CREATED
    assert problems(report) == {
        3: [("shown", "reading_falling")],
        4: [("shown", "reading_falling")],
        5: [("shown", "reading_implausible")],
        6: [("meter", "meter_not_on_unit")],
        7: [("read_at", "instant_in_future")],
        8: [("shown", "reading_negative")],
        9: [("read_at", "not_an_instant")],
        10: [("read_at", "cell_time_unclear")],
        11: [("read_at", "date_is_number")],
        12: [("shown", "max_decimal_places")],
        13: [("read_at", "cell_time_unclear")],
    }
    assert MeterReading.objects.count() == 4
