"""People out of a table: whoever signs in is named by that name, the others by name and firm.

A password never comes in a table: a person with a new name to sign in with cannot do so before an administrator has
given one.
"""

from collections.abc import Mapping, Sequence
from uuid import UUID

from common.errors import NotAllowed
from fleet.enums import Role, RowOutcome
from fleet.models import Person, Site
from fleet.selectors.people.lookup import PeopleByName, name_and_firm
from fleet.services.imports.given_rows import (
    ColumnProblem,
    GivenRow,
    Named,
    Refused,
    RowReport,
    Scene,
    batches,
    changes_between,
    judged,
)
from fleet.services.people.passwords import use_password
from fleet.services.records.edits import log_change
from fleet.services.records.versions import begin_edit
from fleet.states import person_state
from fleet.transitions import PERSON


class PeoplePlan:
    """Whom a table adds, and whose entries it changes."""

    def __init__(self, rows: Sequence[GivenRow], scene: Scene) -> None:
        if Role.ADMINISTRATOR not in scene.actor.current_roles:
            raise NotAllowed("sign_in_needs_administrator")
        self._scene = scene
        self._sites: dict[object, UUID] = dict(Site.objects.values_list("code", "pk"))
        self._codes = {key: code for code, key in self._sites.items()}
        people = Person.objects.all()
        locked = people.select_for_update(no_key=True) if scene.locking else people
        self._known = PeopleByName(locked, [name for row in rows if not row.problems for name in _names(row)])
        self._gone = self._usernames_of_the_gone(rows)
        self._named = Named()
        self._new: list[Mapping[str, object]] = []
        self._edits: list[tuple[Person, Mapping[str, object]]] = []
        self.reports = judged(rows, self._judge)

    def write(self) -> None:
        """Add and edit."""
        for facts in batches(self._new):
            people = [Person(**each) for each in facts]
            for person in people:
                use_password(person, None)
            for person, each in zip(Person.objects.bulk_create(people), facts, strict=True):
                log_change(person, "added", self._scene.actor, each)
        for edits in batches(self._edits):
            for person, changes in edits:
                begin_edit(person, person.version)
                for name, value in changes.items():
                    setattr(person, name, value)
                log_change(person, "edited", self._scene.actor, changes)
            columns = {name for _, changes in edits for name in changes}
            Person.objects.bulk_update([person for person, _ in edits], [*sorted(columns), "version"])

    def _usernames_of_the_gone(self, rows: Sequence[GivenRow]) -> frozenset[str]:
        """A name that somebody signed in with is never given to another."""
        given = {str(row.values["username"]).lower() for row in rows if row.values.get("username")}
        gone = Person.objects.filter(username__in=given, left_on__isnull=False)
        return frozenset(username for username in gone.values_list("username", flat=True) if username)

    def _judge(self, row: GivenRow) -> RowReport:
        facts = self._facts(row)
        username = facts.get("username")
        name = username or name_and_firm(str(facts["name"]), str(facts.get("firm", "")))
        self._named.add(str(name).lower(), row.number)
        if username in self._gone:
            raise Refused(ColumnProblem("username", "username_taken"))
        person = self._known.one(str(name))
        if person is None and not username and self._known.are_several(str(name)):
            raise Refused(ColumnProblem("name", "person_ambiguous"))
        if person is None or (username and person.username != username):
            self._new.append(facts)
            return RowReport(row.number, RowOutcome.CREATED, str(facts["name"]))
        return self._judge_known(row, person, facts)

    def _judge_known(self, row: GivenRow, person: Person, facts: Mapping[str, object]) -> RowReport:
        changes = changes_between({name: getattr(person, name) for name in facts}, facts)
        if not changes:
            return RowReport(row.number, RowOutcome.UNCHANGED, person.name, person.pk)
        PERSON.resolve("edit", person_state(person), self._scene.actor.current_roles)
        self._edits.append((person, {change.column: change.after for change in changes}))
        told = [change for change in changes if change.column != "home_site_id"]
        if len(told) < len(changes):
            told += changes_between(
                {"home_site": self._codes.get(person.home_site_id or _NOWHERE)}, {"home_site": row.values["home_site"]}
            )
        return RowReport(row.number, RowOutcome.CHANGED, person.name, person.pk, tuple(told))

    def _facts(self, row: GivenRow) -> dict[str, object]:
        """The columns of a person that a row gives, its site found by code."""
        facts = {name: value for name, value in row.values.items() if name != "home_site"}
        if "username" in facts:
            facts["username"] = str(facts["username"]).lower()
        site = row.values.get("home_site")
        if site is not None:
            if site not in self._sites:
                raise Refused(ColumnProblem("home_site", "site_unknown"))
            facts["home_site_id"] = self._sites[site]
        return facts


_NOWHERE = UUID(int=0)


def _names(row: GivenRow) -> tuple[str, ...]:
    name, firm = str(row.values["name"]), str(row.values.get("firm", ""))
    username = row.values.get("username")
    return (name, name_and_firm(name, firm), *((str(username),) if username else ()))
