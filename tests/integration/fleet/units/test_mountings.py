"""Setting a cooling unit on a trailer and taking it off."""

import pytest

from common.errors import Conflict, Invalid, NotFound
from common.ids import uuid7
from fleet.enums import Role, UnitKind
from fleet.models import Mounting, Person, Unit
from fleet.selectors.units.combinations import mountings_at
from fleet.services.units.mountings import dismount, mount
from tests.factories.fleet import HOUR, NOON, history_of, make_mounting, make_person, make_unit
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def foreman() -> Person:
    return make_person("Hob Anselm", Role.FOREMAN)


def set_on(trailer: Unit, cooling_unit: Unit, foreman: Person, started_at: object = NOON) -> Mounting:
    return mount(
        trailer_id=trailer.pk,
        cooling_unit_id=cooling_unit.pk,
        started_at=started_at,  # type: ignore[arg-type]
        actor=foreman,
        now=NOON,
    )


def test_cooling_unit__sits_on_its_trailer_until_taken_off(foreman: Person) -> None:
    trailer, cooling_unit = make_unit(UnitKind.TRAILER), make_unit(UnitKind.COOLING_UNIT)
    mounting = set_on(trailer, cooling_unit, foreman, NOON - 2 * HOUR)
    dismount(mounting_id=mounting.pk, ended_at=NOON - HOUR, actor=foreman, now=NOON)
    at = {hours: mountings_at([trailer.pk], NOON - hours * HOUR) for hours in (3, 2, 1)}
    assert {hours: [row.pk for row in rows] for hours, rows in at.items()} == {3: [], 2: [mounting.pk], 1: []}
    assert history_of(trailer) == history_of(cooling_unit) == ["unit_added", "mounted", "dismounted"]


def test_mounting__is_found_by_either_unit() -> None:
    mounting = make_mounting()
    for unit in (mounting.trailer_id, mounting.cooling_unit_id):
        assert [row.pk for row in mountings_at([unit], NOON)] == [mounting.pk]


@pytest.mark.parametrize("taken", ["trailer", "cooling_unit"])
def test_unit_that_is_taken__is_refused(foreman: Person, taken: str) -> None:
    mounting = make_mounting()
    units = {"trailer": make_unit(UnitKind.TRAILER), "cooling_unit": make_unit(UnitKind.COOLING_UNIT)}
    units[taken] = getattr(mounting, taken).unit
    with refused(Conflict, "already_mounted"):
        set_on(units["trailer"], units["cooling_unit"], foreman)
    with refused(Conflict, "already_mounted"):
        set_on(units["trailer"], units["cooling_unit"], foreman, mounting.span.lower - HOUR)


def test_unit_that_was_taken_until_later__is_refused_before_that_and_free_after(foreman: Person) -> None:
    mounting = make_mounting()
    dismount(mounting_id=mounting.pk, ended_at=NOON - HOUR, actor=foreman, now=NOON)
    other = make_unit(UnitKind.COOLING_UNIT)
    with refused(Conflict, "already_mounted"):
        set_on(mounting.trailer.unit, other, foreman, NOON - 2 * HOUR)
    assert set_on(mounting.trailer.unit, other, foreman, NOON - HOUR).pk


def test_units_of_other_kinds__are_refused(foreman: Person) -> None:
    tractor, trailer, cooling_unit = (make_unit(kind) for kind in UnitKind)
    with refused(Invalid, "not_a_trailer", ("/trailer", "not_a_trailer")):
        set_on(tractor, cooling_unit, foreman)
    with refused(Invalid, "not_a_cooling_unit", ("/cooling_unit", "not_a_cooling_unit")):
        set_on(trailer, tractor, foreman)


def test_instant_to_come__is_refused(foreman: Person) -> None:
    with refused(Invalid, "instant_in_future", ("/started_at", "instant_in_future")):
        set_on(make_unit(UnitKind.TRAILER), make_unit(UnitKind.COOLING_UNIT), foreman, NOON + HOUR)


def test_dismounting__twice_or_before_it_began_or_nothing_is_refused(foreman: Person) -> None:
    mounting = make_mounting()
    with refused(Invalid, "end_before_beginning", ("/ended_at", "end_before_beginning")):
        dismount(mounting_id=mounting.pk, ended_at=mounting.span.lower, actor=foreman, now=NOON)
    dismount(mounting_id=mounting.pk, ended_at=NOON, actor=foreman, now=NOON)
    with refused(Conflict, "action_not_allowed"):
        dismount(mounting_id=mounting.pk, ended_at=NOON, actor=foreman, now=NOON)
    with refused(NotFound, "mounting_unknown"):
        dismount(mounting_id=uuid7(), ended_at=NOON, actor=foreman, now=NOON)
