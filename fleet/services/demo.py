"""The demo carrier out of its fixture, written through the services that the API uses. For demos and tests."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID

from django.db import transaction

from common.days import add_months
from fleet.enums import MeterKind, Role, Scope, UnitKind
from fleet.models import Person, Unit
from fleet.services.carrier.founding import found_carrier
from fleet.services.carrier.on_call import enter_turn
from fleet.services.carrier.policies import set_policy
from fleet.services.carrier.sites import create_site
from fleet.services.documents.documents import record_document
from fleet.services.documents.subjects import DocumentSubject
from fleet.services.people.people import create_person
from fleet.services.people.roles import grant_qualification, grant_role
from fleet.services.units.couplings import couple
from fleet.services.units.meters import record_reading
from fleet.services.units.mountings import mount
from fleet.services.units.units import create_unit

FIXTURE = Path(__file__).resolve().parent.parent.parent / "fixtures" / "demo" / "ninefold.toml"
LONG_AGO = timedelta(days=400)
"""Roles, qualifications and registrations of the demo began this long before it."""

_DECIMALS = ("fuel_tank_gal", "tank_gal", "unusable_gal", "burn_gal_per_h")


@dataclass
class _Loader:
    fixture: Mapping[str, Any]
    actor: Person
    password: str
    today: date
    now: datetime

    def load(self) -> None:
        """Everything besides the carrier and its first administrator, in an order in which each finds what it names."""
        self.sites = {row["code"]: create_site(facts=row, actor=self.actor).pk for row in self.fixture["site"]}
        people = [(self._person(row), row) for row in self.fixture["person"]]
        for person, row in people:
            self._qualify(person, row, by=next(each for each, _ in people if each is not person))
        self._on_call()
        for row in self.fixture["policy"]:
            set_policy(**row, valid_from=None, actor=self.actor, now=self.now)
        self.units = {row["number"]: self._unit(row) for row in self.fixture["unit"]}
        before = self.now - timedelta(days=1)
        for row in self.fixture["mounting"]:
            trailer, cooling_unit = self.units[row["trailer"]], self.units[row["cooling_unit"]]
            mount(trailer_id=trailer, cooling_unit_id=cooling_unit, started_at=before, actor=self.actor, now=self.now)
        for row in self.fixture["coupling"]:
            units = [self.units[number] for number in row["units"]]
            couple(unit_ids=units, started_at=before, actor=self.actor, now=self.now)

    def _on_call(self) -> None:
        for row in self.fixture["on_call"]:
            begun = self.now - timedelta(days=1)
            enter_turn(
                person_id=Person.objects.get(username=row["person"]).pk,
                role=Role(row["role"]),
                site_id=self.sites[row["site"]],
                starts_at=begun,
                ends_at=begun + timedelta(days=row["days"]),
                actor=self.actor,
                now=self.now,
            )

    def _person(self, row: Mapping[str, Any]) -> Person:
        facts = {name: row[name] for name in ("username", "name", "email", "language", "firm", "title") if name in row}
        if "home_site" in row:
            facts["home_site_id"] = self.sites[row["home_site"]]
        if row.get("username") == self.actor.username:
            person = self.actor
        else:
            person = create_person(facts=facts, password=self.password if "username" in row else None, actor=self.actor)
        since = self.today - LONG_AGO
        for role in row["roles"]:
            if not (person is self.actor and role == Role.ADMINISTRATOR):
                grant_role(
                    person_id=person.pk,
                    role=Role(role),
                    site_id=None,
                    starts_on=since,
                    ends_on=None,
                    actor=self.actor,
                    now=self.now - LONG_AGO,
                    console_reason="demo" if person is self.actor else "",
                )
        return person

    def _qualify(self, person: Person, row: Mapping[str, Any], *, by: Person) -> None:
        """Qualifications, recorded by the administrator, whose own are recorded `by` somebody else."""
        for scope in row["qualifications"]:
            grant_qualification(
                person_id=person.pk,
                scope=Scope(scope),
                evidence="demo: certificate on file",
                starts_on=self.today - LONG_AGO,
                ends_on=None,
                actor=by if person is self.actor else self.actor,
                now=self.now,
            )

    def _unit(self, row: Mapping[str, Any]) -> UUID:
        names = ("number", "vin", "serial", "make", "model_year", "tire_size", "plate", "plate_state")
        facts: dict[str, object] = {name: row[name] for name in names if name in row}
        facts |= {"home_site_id": self.sites["north-yard"], "in_control_since": self.today - LONG_AGO}
        unit = create_unit(
            kind=UnitKind(row["kind"]),
            facts=facts,
            details={name: Decimal(v) if name in _DECIMALS else v for name, v in row["details"].items()},
            axles=self.fixture["axles"][row["kind"]],
            actor=self.actor,
            now=self.now,
        )
        self._papers(unit, row)
        for meter, shown in row.get("meters", {}).items():
            record_reading(
                unit_id=unit.pk,
                meter=MeterKind(meter),
                shown=Decimal(shown),
                read_at=self.now - timedelta(days=1),
                actor=self.actor,
                now=self.now,
            )
        return unit.pk

    def _papers(self, unit: Unit, row: Mapping[str, Any]) -> None:
        """Registration and periodic inspection by the day of the demo on which each is good for the last time."""
        if "registration_last_day" in row:
            last = self.today + timedelta(days=row["registration_last_day"] - 1)
            facts = {"number": row["plate"], "issuer": "Secretary of State", "state": row["plate_state"]}
            self._paper(unit, "registration", {**facts, "starts_on": self.today - LONG_AGO, "ends_on": last})
        if "inspection_last_day" in row:
            last = self.today + timedelta(days=row["inspection_last_day"] - 1)
            inspected = add_months(last + timedelta(days=1), -12)
            facts = {"starts_on": inspected, "program": "self", "inspector": "Greta Lind", "issuer": "Ninefold"}
            self._paper(unit, "periodic_inspection", facts)

    def _paper(self, unit: Unit, kind: str, facts: Mapping[str, object]) -> None:
        record_document(
            kind=kind,
            subject=DocumentSubject(unit_id=unit.pk),
            facts=facts,
            today=self.today,
            actor=self.actor,
            now=self.now,
        )


@transaction.atomic
def load_demo(*, password: str, today: date, now: datetime) -> None:
    """Write the demo carrier into an empty database; all sign in with the one password. Conflict if not empty."""
    fixture = tomllib.loads(FIXTURE.read_text(encoding="utf-8"))
    first = next(row for row in fixture["person"] if Role.ADMINISTRATOR in row["roles"])
    names = ("username", "name", "email", "language")
    actor = found_carrier(
        carrier=fixture["carrier"],
        administrator={name: first[name] for name in names},
        password=password,
        now=now - LONG_AGO,
    )
    actor.current_roles = frozenset(Role)
    _Loader(fixture, actor, password, today, now).load()
    # Whoever tries the demo is all of these people: the password on the screen counts as each one's own.
    Person.objects.filter(sign_in_given=True).update(sign_in_given=False)
