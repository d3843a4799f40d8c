"""Roles out of a table: a role is named by person, role and site. One that is held is left alone, never ended."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from uuid import UUID

from fleet.enums import Role, RowOutcome
from fleet.models import PersonRole
from fleet.services.imports.plan import ColumnProblem, ImportRow, Plan, Refused, RowReport, batches
from fleet.services.imports.references import PeopleNamed, Sites
from fleet.services.people.roles import give_roles, overlaps, refuse_role

Name = tuple[UUID, str, UUID | None]


class RolePlan(Plan):
    """Which roles a table gives."""

    def read(self, rows: Sequence[ImportRow]) -> None:
        self._new: list[PersonRole] = []
        self._sites = Sites()
        self._people = PeopleNamed(rows, self.context)
        self._held: defaultdict[Name, list[PersonRole]] = defaultdict(list)
        for held in PersonRole.objects.filter(person__in={person.pk for person in self._people.all}).order_by("pk"):
            self._held[held.person_id, held.role, held.site_id].append(held)

    def write(self) -> None:
        for rows in batches(self._new):
            give_roles(rows, actor=self.context.actor)

    def judge(self, row: ImportRow) -> RowReport:
        """A role is given, or held already with what the row says."""
        person, site = self._people.of(row), self._sites.of(row, "site")
        role = Role(str(row.values["role"]))
        starts_on, ends_on = _day(row, "starts_on") or self.context.today, _day(row, "ends_on")
        name = (person.pk, role.value, None if site is None else site.pk)
        self.named.add(name, row.number)
        called = f"{person}: {role.value}"
        for held in self._held[name]:
            if overlaps(held, starts_on, ends_on):
                if not self._says_the_same(row, held):
                    raise Refused(ColumnProblem("", "role_already_held"))
                return RowReport(row.number, RowOutcome.UNCHANGED, called, held.pk)
        refuse_role(
            person=person,
            role=role,
            site_id=name[2],
            starts_on=starts_on,
            ends_on=ends_on,
            actor=self.context.actor,
            today=self.context.today,
        )
        self._new.append(
            PersonRole(
                person=person,
                role=role,
                site=site,
                starts_on=starts_on,
                ends_on=ends_on,
                granted_by=self.context.actor,
                granted_at=self.context.now,
            )
        )
        return RowReport(row.number, RowOutcome.CREATED, called)

    def _says_the_same(self, row: ImportRow, held: PersonRole) -> bool:
        """An empty cell leaves what is on record."""
        return all(_day(row, name) in {None, getattr(held, name)} for name in ("starts_on", "ends_on"))


def _day(row: ImportRow, column: str) -> date | None:
    value = row.values.get(column)
    return value if isinstance(value, date) else None
