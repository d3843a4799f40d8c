"""People out of a table: whoever signs in is named by that name, the others by name and firm.

A password never comes in a table: a person with a new name to sign in with cannot do so before an administrator has
given one.
"""

from collections.abc import Mapping, Sequence

from common.errors import NotAllowed
from fleet.enums import Role, RowOutcome
from fleet.models import Person
from fleet.selectors.people.lookup import PeopleByName, name_and_firm
from fleet.services.imports.plan import ColumnProblem, ImportRow, Plan, Refused, RowReport, batches, changes_between
from fleet.services.imports.references import Sites
from fleet.services.people.people import add_people
from fleet.services.records.edits import edit_rows


class PeoplePlan(Plan):
    """Whom a table adds, and whose entries it changes."""

    def read(self, rows: Sequence[ImportRow]) -> None:
        """Everybody named. NotAllowed `sign_in_needs_administrator` for the whole table."""
        if Role.ADMINISTRATOR not in self.context.actor.current_roles:
            raise NotAllowed("sign_in_needs_administrator")
        self._new: list[Mapping[str, object]] = []
        self._edits: list[tuple[Person, Mapping[str, object]]] = []
        self._sites = Sites()
        people = Person.objects.all()
        locked = people.select_for_update(no_key=True) if self.context.locking else people
        self._known = PeopleByName(locked, [name for row in rows for name in _names(row)])
        given = {str(row.values["username"]).lower() for row in rows if row.values.get("username")}
        gone = Person.objects.filter(username__in=given, left_on__isnull=False)
        self._gone = frozenset(gone.values_list("username", flat=True))

    def write(self) -> None:
        for new in batches(self._new):
            add_people(new, actor=self.context.actor)
        for edits in batches(self._edits):
            edit_rows(edits, actor=self.context.actor)

    def judge(self, row: ImportRow) -> RowReport:
        """Somebody is added, edited, or known as the row says; nobody gets a name that somebody gone signed in with."""
        facts = self._facts(row)
        username = facts.get("username")
        name = username or name_and_firm(str(facts["name"]), str(facts.get("firm", "")))
        self.named.add(str(name).lower(), row.number)
        if username in self._gone:
            raise Refused(ColumnProblem("username", "username_taken"))
        person = self._known.one(str(name))
        if person is None and not username and self._known.are_several(str(name)):
            raise Refused(ColumnProblem("name", "person_ambiguous"))
        if person is None or (username and person.username != username):
            self._new.append(facts)
            return RowReport(row.number, RowOutcome.CREATED, str(facts["name"]))
        return self._judge_known(row, person, facts)

    def _judge_known(self, row: ImportRow, person: Person, facts: Mapping[str, object]) -> RowReport:
        changes = changes_between({name: getattr(person, name) for name in facts}, facts)
        if not changes:
            return RowReport(row.number, RowOutcome.UNCHANGED, person.name, person.pk)
        shown = [change for change in changes if change.column != "home_site_id"]
        if len(shown) < len(changes):
            site = person.home_site_id
            before = {"home_site": None if site is None else self._sites.codes[site]}
            shown += changes_between(before, {"home_site": row.values["home_site"]})
        self._edits.append((person, {change.column: change.after for change in changes}))
        return RowReport(row.number, RowOutcome.CHANGED, person.name, person.pk, tuple(shown))

    def _facts(self, row: ImportRow) -> dict[str, object]:
        """The columns of a person that a row gives, its site found by code."""
        facts = {name: value for name, value in row.values.items() if name != "home_site"}
        if "username" in facts:
            facts["username"] = str(facts["username"]).lower()
        site = self._sites.of(row, "home_site")
        return facts if site is None else {**facts, "home_site_id": site.pk}


def _names(row: ImportRow) -> tuple[str, ...]:
    name, firm = str(row.values["name"]), str(row.values.get("firm", ""))
    username = row.values.get("username")
    return (name, name_and_firm(name, firm), *((str(username),) if username else ()))
