"""Roles out of a table: a role is named by person, role and site. One that is held is left alone, never ended."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from uuid import UUID

from common.errors import DomainError
from fleet.enums import Role, RowOutcome
from fleet.models import Person, PersonRole, Site
from fleet.selectors.people.lookup import PeopleByName
from fleet.services.imports.given_rows import (
    ColumnProblem,
    GivenRow,
    Named,
    Refused,
    RowReport,
    Scene,
    batches,
    judged,
    refusal,
)
from fleet.services.people.roles import overlaps, refuse_role, tell_role_given

Name = tuple[UUID, str, UUID | None]


class RolePlan:
    """Which roles a table gives."""

    def __init__(self, rows: Sequence[GivenRow], scene: Scene) -> None:
        self._scene = scene
        self._sites = {site.code: site for site in Site.objects.all()}
        people = Person.objects.select_for_update(no_key=True) if scene.locking else Person.objects.all()
        self._people = PeopleByName(people, [str(row.values["person"]) for row in rows if not row.problems])
        self._held: defaultdict[Name, list[PersonRole]] = defaultdict(list)
        for held in PersonRole.objects.filter(person__in={person.pk for person in self._people.all}).order_by("pk"):
            self._held[held.person_id, held.role, held.site_id].append(held)
        self._named = Named()
        self._new: list[PersonRole] = []
        self.reports = judged(rows, self._judge)

    def write(self) -> None:
        """Give them."""
        for rows in batches(self._new):
            for row in PersonRole.objects.bulk_create(rows):
                tell_role_given(row, self._scene.actor)

    def _judge(self, row: GivenRow) -> RowReport:
        person, site = self._person(str(row.values["person"])), self._site(row)
        role = Role(str(row.values["role"]))
        starts_on, ends_on = _day(row, "starts_on") or self._scene.today, _day(row, "ends_on")
        name = (person.pk, role.value, None if site is None else site.pk)
        self._named.add(name, row.number)
        called = f"{person}: {role.value}"
        for held in self._held[name]:
            if overlaps(held, starts_on, ends_on):
                if not self._says_the_same(row, held):
                    raise Refused(ColumnProblem("", "role_already_held"))
                return RowReport(row.number, RowOutcome.UNCHANGED, called, held.pk)
        try:
            refuse_role(
                person=person,
                role=role,
                site_id=name[2],
                starts_on=starts_on,
                ends_on=ends_on,
                actor=self._scene.actor,
                today=self._scene.today,
            )
        except DomainError as error:
            raise refusal(error) from error
        self._new.append(
            PersonRole(
                person=person,
                role=role,
                site=site,
                starts_on=starts_on,
                ends_on=ends_on,
                granted_by=self._scene.actor,
                granted_at=self._scene.now,
            )
        )
        return RowReport(row.number, RowOutcome.CREATED, called)

    def _says_the_same(self, row: GivenRow, held: PersonRole) -> bool:
        """An empty cell leaves what is on record."""
        return all(_day(row, name) in {None, getattr(held, name)} for name in ("starts_on", "ends_on"))

    def _person(self, name: str) -> Person:
        person = self._people.one(name)
        if person is None:
            code = "person_ambiguous" if self._people.are_several(name) else "person_unknown"
            raise Refused(ColumnProblem("person", code))
        return person

    def _site(self, row: GivenRow) -> Site | None:
        code = row.values.get("site")
        if code is not None and code not in self._sites:
            raise Refused(ColumnProblem("site", "site_unknown"))
        return None if code is None else self._sites[str(code)]


def _day(row: GivenRow, column: str) -> date | None:
    value = row.values.get(column)
    return value if isinstance(value, date) else None
