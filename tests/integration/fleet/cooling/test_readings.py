"""Readings of cooling units: each taken once, kept whatever is odd in it, and learned from."""

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

import pytest

from common.errors import Conflict, Invalid
from fleet.enums import ImportMode, ReadingSource, Role, UnitKind
from fleet.models import CoolingForecast, CoolingReading, HistoryEntry, Person, Unit
from fleet.rules.cooling.readings import Figures
from fleet.services.cooling.intake import Taken, record_cooling_readings
from fleet.services.cooling.learning import learn_from_readings
from fleet.services.imports.run import Table
from tests.factories.fleet import HOUR, NOON, make_carrier, make_person, make_unit
from tests.support.tables import outcomes, problems, take_in
from tests.support.unit_files import made_file

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit() -> Unit:
    make_carrier()
    return make_unit(UnitKind.COOLING_UNIT, "CU-41")


@pytest.fixture
def ada() -> Person:
    return make_person("Ada Brisk", Role.DRIVER)


def at(hours: float, **said: object) -> Figures:
    """A reading so many hours before noon."""
    return Figures(at=NOON - hours * HOUR, **said)  # type: ignore[arg-type]


def take(unit: Unit, by: Person, given: Sequence[Figures], source: ReadingSource = ReadingSource.RECORDER) -> Taken:
    return record_cooling_readings(unit_id=unit.pk, given=given, source=source, actor=by, now=NOON)


def test_readings__out_of_order_and_twice_are_each_taken_once(unit: Unit, ada: Person) -> None:
    early, late = at(3, return_air_f=Decimal("34.5")), at(1, return_air_f=Decimal(36))
    assert [len(take(unit, ada, given).rows) for given in ([late], [early, late, early])] == [1, 1]
    again = take(unit, ada, [early, late])
    assert (again.rows, again.on_record, again.differing) == ([], [0, 1], [])
    assert CoolingReading.objects.count() == 2
    assert HistoryEntry.objects.filter(unit=unit, kind="cooling_readings_recorded").count() == 2
    assert learn_from_readings(now=NOON) == 1
    assert CoolingForecast.objects.get(unit=unit).air_f == 36


def test_another_figure_for_a_time_on_record__is_told_and_changes_nothing(unit: Unit, ada: Person) -> None:
    take(unit, ada, [at(1, return_air_f=Decimal(36))])
    told = take(unit, ada, [at(2), at(1, return_air_f=Decimal(35))])
    assert (len(told.rows), told.on_record, told.differing) == (1, [], [1])
    assert CoolingReading.objects.get(read_at=NOON - HOUR).return_air_f == 36
    other_source = take(unit, ada, [at(1, return_air_f=Decimal(35))], ReadingSource.PHONE)
    assert len(other_source.rows) == 1


@pytest.mark.parametrize(
    ("said", "state", "flag"),
    [
        ({"return_air_f": Decimal("160.1")}, "set_aside", "implausible"),
        ({"return_air_f": Decimal(160)}, "accepted", ""),
        ({"at": NOON + HOUR}, "set_aside", "future"),
        ({"alarms": ("stop", "code red")}, "accepted", "alarm_class_unknown"),
        ({"alarms": ("stop", "act_soon", "note")}, "accepted", ""),
    ],
)
def test_odd_reading__is_kept_and_flagged_from_the_field(
    unit: Unit, ada: Person, said: dict[str, object], state: str, flag: str
) -> None:
    take(unit, ada, [Figures(**{"at": NOON - HOUR, **said})])  # type: ignore[arg-type]
    row = CoolingReading.objects.get()
    assert (row.state, row.flag, row.alarms) == (state, flag, list(said.get("alarms", ())))  # type: ignore[call-overload]


def test_set_aside_reading__teaches_nothing(unit: Unit, ada: Person) -> None:
    take(unit, ada, [at(2, return_air_f=Decimal(40)), at(1, return_air_f=Decimal(900))])
    learn_from_readings(now=NOON)
    forecast = CoolingForecast.objects.get()
    assert (forecast.readings, forecast.air_f) == (1, Decimal(40))


def test_desk__is_refused_what_cannot_be(unit: Unit, ada: Person) -> None:
    given = [at(2), at(1, fuel_gal=Decimal("150.1"), alarms=("red",))]
    with pytest.raises(Invalid) as refused:
        take(unit, ada, given, ReadingSource.DESK)
    found = [(problem.pointer, problem.code) for problem in refused.value.problems]
    assert found == [("/readings/1/fuel_gal", "figure_implausible"), ("/readings/1/alarms", "alarm_class_unknown")]
    assert refused.value.problems[0].facts == {"least": 0, "most": 150}
    with pytest.raises(Invalid, match="instant_in_future"):
        take(unit, ada, [at(-1)], ReadingSource.DESK)
    assert not CoolingReading.objects.exists()


def test_other_unit_and_retired_one__are_refused(unit: Unit, ada: Person) -> None:
    with pytest.raises(Invalid, match="not_a_cooling_unit"):
        take(make_unit(UnitKind.TRAILER, "LR-41"), ada, [at(1)])
    unit.retired_on = dt.date(2026, 3, 1)
    unit.save()
    with pytest.raises(Conflict, match="unit_retired"):
        take(unit, ada, [at(1)])


def test_forecast__stands_in_one_row_and_says_what_is_not_enough(unit: Unit, ada: Person) -> None:
    given = [at(60 - 5 * n, engine_h=Decimal(100 + 5 * n), fuel_gal=Decimal(50 - 4 * n)) for n in range(6)]
    take(unit, ada, given[:5])
    learn_from_readings(now=NOON)
    assert CoolingForecast.objects.get().burn_gal_per_h is None
    take(unit, ada, given[5:])
    learn_from_readings(now=NOON)
    forecast = CoolingForecast.objects.get()
    assert (forecast.burn_gal_per_h, forecast.burn_stretches, forecast.fuel_gal) == (Decimal("0.8"), 5, Decimal(30))
    assert (forecast.pull_downs, forecast.leakage_h, forecast.air_drop_f) == (0, None, None)


ROW = {"unit": "CU-41", "read_at": "2026-03-05T06:00:00Z", "unit_of_measure": "degC", "return_air": "-18.3"}


def test_recorders_table__is_taken_in_celsius_and_again_unchanged(unit: Unit, ada: Person) -> None:
    assert outcomes(take_in(Table.COOLING_READINGS, [ROW], ada)) == {2: "created"}
    row = CoolingReading.objects.get()
    assert (row.return_air_f, row.given_in, row.source) == (Decimal("-0.94"), "degC", "recorder")
    assert outcomes(take_in(Table.COOLING_READINGS, [ROW], ada)) == {2: "unchanged"}
    other = take_in(Table.COOLING_READINGS, [{**ROW, "return_air": "-18.2"}], ada)
    assert problems(other) == {2: [("read_at", "cooling_reading_on_record")]}


def test_recorders_table__of_another_unit_or_twice_the_same_is_refused(unit: Unit, ada: Person) -> None:
    make_unit(UnitKind.TRAILER, "LR-41")
    told = take_in(Table.COOLING_READINGS, [ROW, ROW, {**ROW, "unit": "LR-41"}], ada)
    assert problems(told) == {3: [("", "row_twice")], 4: [("unit", "not_a_cooling_unit")]}
    assert CoolingReading.objects.count() == 1


def test_recorders_table__says_in_a_dry_run_already_what_it_would_flag(unit: Unit, ada: Person) -> None:
    odd = {**ROW, "return_air": "75.5", "alarms": "strange"}
    sound = {**ROW, "read_at": "2026-03-05T07:00:00Z", "alarms": ""}
    told = take_in(Table.COOLING_READINGS, [odd, sound], ada, ImportMode.DRY_RUN)
    assert (outcomes(told), told.counts["flagged"]) == ({2: "flagged", 3: "created"}, 1)
    assert problems(told) == {2: [("return_air", "figure_implausible"), ("alarms", "alarm_class_unknown")]}
    assert told.rows[0].problems[0].facts == {"least": Decimal("-51.1"), "most": Decimal("71.1")}
    assert not CoolingReading.objects.exists()
    take_in(Table.COOLING_READINGS, [odd], ada, ImportMode.ALL_OR_NOTHING)
    assert CoolingReading.objects.get().flag == "implausible"


def test_units_file__holds_every_reading_and_shows_those_that_somebody_read(
    unit: Unit, ada: Person, tmp_path: Path
) -> None:
    take(unit, ada, [at(2, return_air_f=Decimal("34.5"), mode="cycling", fuel_gal=Decimal(30))], ReadingSource.PHONE)
    take(unit, ada, [at(1, return_air_f=Decimal("11.1")), at(3, fuel_gal=Decimal(900))])
    made = made_file(unit, ada, NOON, tmp_path)
    assert [(row["source"], row["flag"]) for row in made.records("cooling_readings")] == [
        ("recorder", "implausible"),
        ("phone", ""),
        ("recorder", ""),
    ]
    assert "start-stop, return 34.50 °F" in made.shown
    assert "30.0 gal" in made.shown
    assert "No cooling unit shows such a figure. Read it again." in made.shown
    assert "11.1" not in made.shown


def test_history__writes_instants_with_z(unit: Unit, ada: Person) -> None:
    take(unit, ada, [at(2), at(1)])
    stored = HistoryEntry.objects.get(unit=unit, kind="cooling_readings_recorded").content.body
    assert '"first":"2026-03-06T16:00:00Z"' in stored
    assert '"last":"2026-03-06T17:00:00Z"' in stored
