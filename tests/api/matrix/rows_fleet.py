"""How to make the rows that operations of fleet name and list."""

from collections.abc import Callable
from itertools import count as count_up

from fleet.enums import DeliveryState, Role, UnitKind
from fleet.models import Delivery, Person, Unit
from fleet.services.documents.files import store_file
from tests.factories.fleet import (
    HOUR,
    NOON,
    TODAY,
    CoolingReadingFactory,
    DeletionFactory,
    DocumentFactory,
    MeterReplacementFactory,
    OnCallShiftFactory,
    PersonRoleFactory,
    PolicyFactory,
    WebhookFactory,
    hold_draft,
    make_coupling,
    make_document,
    make_feed,
    make_legal_hold,
    make_mounting,
    make_person,
    make_qualification,
    make_reading,
    make_site,
    make_token,
    make_unit,
    make_whereabouts,
    owe,
)

_MINUTES = count_up(1)
PDF = b"%PDF-1.7 a scan"


def _document_of(person: Person) -> str:
    scan = store_file(
        content=PDF, declared=None, allowed=frozenset({"application/pdf"}), expected_sha256=None, now=NOON
    )
    document = DocumentFactory.create(
        kind="medical_certificate", person=person, ends_on="2027-01-01", file=scan, recorded_by=person
    )
    return str(document.pk)


ROW_OF: dict[str, Callable[[Person], str]] = {
    "GET /people/{key}": lambda person: str(person.pk),
    "GET /qualifications/{key}": lambda person: str(make_qualification(person).pk),
    "GET /documents/{key}": _document_of,
    "GET /documents/{key}/file": _document_of,
    "DELETE /tokens/{key}": lambda person: str(make_token(person, device="second phone")[0].pk),
    "DELETE /expiries/feeds/{key}": lambda person: str(make_feed(person)[0].pk),
    "GET /notices/{key}": lambda person: str(owe(hold_draft(person))[0].pk),
    "POST /notices/{key}/acknowledge": lambda person: str(owe(hold_draft(person))[0].pk),
}


def _units(kind: UnitKind) -> Callable[[int], None]:
    def fill(count: int) -> None:
        site = make_site()
        for _ in range(count):
            make_unit(kind, home_site_id=site.pk)

    return fill


def _history(count: int) -> None:
    """A unit's history is made of what happened to it: every entry but the first is a reading of the meter."""
    unit = Unit.objects.filter(number="NL-11").first() or make_unit(number="NL-11")
    for _ in range(count - 1 if unit.chain.sequence == 1 else count):
        make_reading(unit, "0.0", read_at=NOON - HOUR)


def _cooling_readings(count: int) -> None:
    unit = Unit.objects.filter(number="NL-11").first() or make_unit(UnitKind.COOLING_UNIT, "NL-11")
    for _ in range(count):
        CoolingReadingFactory.create(unit=unit, read_at=NOON - next(_MINUTES) * HOUR / 60)


def _people(count: int) -> None:
    site = make_site()
    for number in range(count):
        person = make_person(f"Person {number}", Role.DRIVER, home_site=site)
        PersonRoleFactory.create(person=person, role=Role.TRAINER, site=site, starts_on=TODAY)


def _documents(count: int) -> None:
    for number in range(count):
        make_document(number=str(number))
        _document_of(make_person(f"Driver {number}"))


def each(make: Callable[[], object]) -> Callable[[int], None]:
    def fill(count: int) -> None:
        for _ in range(count):
            make()

    return fill


def _notifications(count: int) -> None:
    """The caller's own, each with a unit and a message that carries it."""
    caller = Person.objects.get(name="Zed Audit")
    caller.email = "zed@carrier.invalid"
    caller.save()
    for _ in range(count):
        owe(hold_draft(caller, unit=make_unit()))


def _parked(count: int) -> None:
    _notifications(count)
    Delivery.objects.update(state=DeliveryState.PARKED)


FILL: dict[str, Callable[[int], None]] = {
    "GET /tokens": each(lambda: make_token(make_person("Ada Brisk"))),
    "GET /tractors": _units(UnitKind.TRACTOR),
    "GET /trailers": _units(UnitKind.TRAILER),
    "GET /cooling-units": _units(UnitKind.COOLING_UNIT),
    "GET /units": _units(UnitKind.TRAILER),
    "GET /units/{ref}/history": _history,
    "GET /couplings": each(make_coupling),
    "GET /mountings": each(make_mounting),
    "GET /cooling-units/{ref}/readings": _cooling_readings,
    "GET /whereabouts": each(make_whereabouts),
    "GET /meter-readings": each(make_reading),
    "GET /meter-readings/replacements": each(MeterReplacementFactory.create),
    "GET /people": _people,
    "GET /qualifications": each(make_qualification),
    "GET /sites": each(make_site),
    "GET /policies": each(PolicyFactory.create),
    "GET /documents": _documents,
    "GET /expiries": _documents,
    "GET /expiries/feeds": each(lambda: make_feed(make_person("Vera Holt"))),
    "GET /legal-holds": each(lambda: make_legal_hold(make_unit())),
    "GET /deletions": each(DeletionFactory.create),
    "GET /on-call": each(lambda: OnCallShiftFactory.create(site=make_site())),
    "GET /webhooks": each(WebhookFactory.create),
    "GET /notices": _notifications,
    "GET /notices/parked-deliveries": _parked,
}
"""By list: how to make so many rows of it."""
