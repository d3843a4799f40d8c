"""Combinations: recorded by a desk, which the record binds, and taken over by a driver, whom it never refuses."""

import datetime as dt

import pytest
from django.db import IntegrityError, transaction
from django.db.backends.postgresql.psycopg_any import DateTimeTZRange

from common.errors import Conflict, Invalid, NotFound
from common.ids import uuid7
from fleet.enums import Role, UnitKind
from fleet.models import Coupling, Person, Unit
from fleet.selectors.units.combinations import units_released_by_take_over
from fleet.services.records.unit_of_work import UnitOfWork
from fleet.services.units.couplings import LockSetChanged, couple, record_coupling, take_over, uncouple
from tests.factories.fleet import HOUR, NOON, CouplingMemberFactory, history_of, make_coupling, make_person, make_unit
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk() -> Person:
    return make_person("Cal Wick", Role.DISPATCH)


@pytest.fixture
def driver() -> Person:
    return make_person("Ada Brisk", Role.DRIVER)


def tractor_and_trailer() -> tuple[Unit, Unit]:
    return make_unit(), make_unit(UnitKind.TRAILER)


def spans(coupling: Coupling) -> set[tuple[object, dt.datetime, dt.datetime | None]]:
    return {(row.unit_id, row.span.lower, row.span.upper) for row in coupling.members.all()}


class TestDesk:
    def test_free_units__are_coupled(self, desk: Person) -> None:
        units = tractor_and_trailer()
        coupling = couple(unit_ids=[unit.pk for unit in units], started_at=NOON, actor=desk, now=NOON)
        assert spans(coupling) == {(unit.pk, NOON, None) for unit in units}
        assert [history_of(unit) for unit in units] == [["unit_added", "coupled"]] * 2

    def test_unit_coupled_elsewhere__is_refused_and_nothing_changed(self, desk: Person) -> None:
        tractor, trailer = tractor_and_trailer()
        make_coupling(tractor, trailer)
        other = make_unit()
        with refused(Conflict, "unit_coupled_elsewhere", ("/units", "unit_coupled_elsewhere")):
            couple(unit_ids=[other.pk, trailer.pk], started_at=NOON, actor=desk, now=NOON)
        assert Coupling.objects.count() == 1
        assert history_of(other) == ["unit_added"]

    def test_unit_coupled_later__is_refused(self, desk: Person) -> None:
        tractor, trailer = tractor_and_trailer()
        make_coupling(tractor, trailer, started_at=NOON)
        with refused(Conflict, "unit_coupled_elsewhere", ("/units", "unit_coupled_elsewhere")):
            couple(unit_ids=[make_unit().pk, trailer.pk], started_at=NOON - HOUR, actor=desk, now=NOON)

    @pytest.mark.parametrize(
        "kinds", [["tractor", "tractor"], ["trailer", "trailer"], ["tractor", "cooling_unit"], ["tractor"]]
    )
    def test_units_that_are_no_combination__are_refused(self, desk: Person, kinds: list[UnitKind]) -> None:
        units = [make_unit(kind).pk for kind in kinds]
        with refused(Invalid, "not_a_combination", ("/units", "not_a_combination")):
            couple(unit_ids=units, started_at=NOON, actor=desk, now=NOON)

    def test_same_unit_twice__is_refused(self, desk: Person) -> None:
        tractor, trailer = tractor_and_trailer()
        with refused(Invalid, "not_a_combination", ("/units", "not_a_combination")):
            couple(unit_ids=[tractor.pk, trailer.pk, trailer.pk], started_at=NOON, actor=desk, now=NOON)

    def test_instant_to_come__is_refused(self, desk: Person) -> None:
        units = [unit.pk for unit in tractor_and_trailer()]
        with refused(Invalid, "instant_in_future", ("/started_at", "instant_in_future")):
            couple(unit_ids=units, started_at=NOON + HOUR, actor=desk, now=NOON)

    def test_retired_unit__is_refused(self, desk: Person) -> None:
        tractor, trailer = tractor_and_trailer()
        Unit.objects.filter(pk=trailer.pk).update(retired_on=NOON.date())
        with refused(Conflict, "unit_retired"):
            couple(unit_ids=[tractor.pk, trailer.pk], started_at=NOON, actor=desk, now=NOON)

    def test_uncoupled_combination__ends_for_all_its_units(self, desk: Person) -> None:
        units = tractor_and_trailer()
        coupling = make_coupling(*units)
        ended = uncouple(coupling_id=coupling.pk, ended_at=NOON, actor=desk, now=NOON)
        coupling.refresh_from_db()
        assert coupling.ended_at == ended.ended_at == NOON
        assert spans(coupling) == {(unit.pk, coupling.started_at, NOON) for unit in units}
        assert (coupling.took_over, coupling.taken_over) == (False, False)
        assert history_of(units[0])[-1] == "uncoupled"

    def test_uncoupled_twice__is_refused(self, desk: Person) -> None:
        coupling = make_coupling()
        uncouple(coupling_id=coupling.pk, ended_at=NOON, actor=desk, now=NOON)
        with refused(Conflict, "action_not_allowed"):
            uncouple(coupling_id=coupling.pk, ended_at=NOON, actor=desk, now=NOON)

    def test_end_at_the_beginning__is_refused(self, desk: Person) -> None:
        coupling = make_coupling()
        with refused(Invalid, "end_before_beginning", ("/ended_at", "end_before_beginning")):
            uncouple(coupling_id=coupling.pk, ended_at=coupling.started_at, actor=desk, now=NOON)

    def test_unknown_combination__is_not_found(self, desk: Person) -> None:
        with refused(NotFound, "coupling_unknown"):
            uncouple(coupling_id=uuid7(), ended_at=NOON, actor=desk, now=NOON)


class TestDriver:
    def test_trailer_recorded_elsewhere__is_taken_over_and_both_flagged(self, driver: Person) -> None:
        old_tractor, trailer = tractor_and_trailer()
        old = make_coupling(old_tractor, trailer)
        tractor = make_unit()
        new = record_coupling(units=[tractor, trailer], started_at=NOON, actor=driver, now=NOON)
        old.refresh_from_db()
        assert (old.taken_over, old.took_over, old.ended_at) == (True, False, NOON)
        assert (new.took_over, new.taken_over, new.ended_at) == (True, False, None)
        assert spans(old) == {(unit.pk, old.started_at, NOON) for unit in (old_tractor, trailer)}
        assert spans(new) == {(unit.pk, NOON, None) for unit in (tractor, trailer)}
        assert history_of(old_tractor) == ["unit_added", "coupled", "uncoupled"]
        assert history_of(trailer) == ["unit_added", "coupled", "uncoupled", "coupled"]
        assert history_of(tractor) == ["unit_added", "coupled"]

    def test_same_combination__stands_and_nothing_is_written(self, driver: Person) -> None:
        units = tractor_and_trailer()
        old = make_coupling(*units)
        assert record_coupling(units=units, started_at=NOON, actor=driver, now=NOON).pk == old.pk
        assert Coupling.objects.count() == 1
        assert history_of(units[0]) == ["unit_added", "coupled"]

    def test_late_report__is_fitted_in_before_what_was_recorded_later(self, driver: Person) -> None:
        tractor, trailer = tractor_and_trailer()
        later = make_coupling(make_unit(), trailer, started_at=NOON - HOUR)
        new = record_coupling(units=[tractor, trailer], started_at=NOON - 3 * HOUR, actor=driver, now=NOON)
        later.refresh_from_db()
        assert spans(new) == {(unit.pk, NOON - 3 * HOUR, NOON - HOUR) for unit in (tractor, trailer)}
        assert (later.ended_at, later.taken_over) == (None, False)

    def test_single_unit__is_refused_apart_from_a_walk_around(self, driver: Person) -> None:
        with refused(Invalid, "not_a_combination", ("/units", "not_a_combination")):
            record_coupling(units=[make_unit()], started_at=NOON, actor=driver, now=NOON)

    def test_driver_who_is_also_a_foreman__is_held_to_the_record(self) -> None:
        both = make_person("Hob Anselm", Role.DRIVER, Role.FOREMAN)
        tractor, trailer = tractor_and_trailer()
        make_coupling(tractor, trailer)
        with refused(Conflict, "unit_coupled_elsewhere", ("/units", "unit_coupled_elsewhere")):
            record_coupling(units=[make_unit(), trailer], started_at=NOON, actor=both, now=NOON)

    def test_unit_that_leaves_but_is_not_locked__is_told(self, driver: Person) -> None:
        old_tractor, trailer = tractor_and_trailer()
        make_coupling(old_tractor, trailer)
        tractor = make_unit()
        assert units_released_by_take_over([tractor, trailer], NOON) == {old_tractor.pk, trailer.pk}
        with transaction.atomic(), pytest.raises(LockSetChanged) as told:
            take_over(
                work=UnitOfWork.begin([tractor.pk, trailer.pk], actor=driver, now=NOON),
                units=[tractor, trailer],
                performed_at=NOON,
            )
        assert told.value.missing == {old_tractor.pk}
        assert Coupling.objects.count() == 1


def test_database__refuses_two_overlapping_spans_of_one_unit() -> None:
    units = tractor_and_trailer()
    coupling = make_coupling(*units)
    with pytest.raises(IntegrityError, match="coupling_member_no_overlap"), transaction.atomic():
        CouplingMemberFactory.create(coupling=coupling, unit=units[0], span=DateTimeTZRange(NOON, None))
