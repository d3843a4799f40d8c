"""The units, people and sites that rows refer to, found once for a table and locked where they are to be written."""

from collections.abc import Sequence

from fleet.models import Person, Site, Unit
from fleet.selectors.people.lookup import PeopleByName
from fleet.selectors.units.lookup import resolve_units
from fleet.services.imports.plan import ColumnProblem, ImportContext, ImportRow, Refused
from fleet.services.records.unit_of_work import UnitOfWork


class UnitsNamed:
    """The units that columns of rows name, and the unit of work that holds them."""

    def __init__(self, rows: Sequence[ImportRow], context: ImportContext, columns: Sequence[str] = ("unit",)) -> None:
        refs = {str(row.values[column]) for row in rows for column in columns if column in row.values}
        keys = {unit.pk for unit in resolve_units(refs).values()}
        self.work = UnitOfWork.begin(keys if context.locking else (), actor=context.actor, now=context.now)
        self._by_reference = resolve_units(refs)

    @property
    def all(self) -> Sequence[Unit]:
        return list({unit.pk: unit for unit in self._by_reference.values()}.values())

    def get(self, row: ImportRow, column: str = "unit") -> Unit | None:
        return self._by_reference.get(str(row.values.get(column, "")))

    def of(self, row: ImportRow, column: str = "unit") -> Unit:
        """The same; Refused `unit_unknown`."""
        unit = self.get(row, column)
        if unit is None:
            raise Refused(ColumnProblem(column, "unit_unknown"))
        return unit

    def in_service(self, row: ImportRow) -> Unit:
        """The same; Refused `unit_retired` too."""
        unit = self.of(row)
        if unit.retired_on is not None:
            raise Refused(ColumnProblem("unit", "unit_retired", {"unit": str(unit), "retired_on": unit.retired_on}))
        return unit


class PeopleNamed:
    """The people that the column `person` names."""

    def __init__(self, rows: Sequence[ImportRow], context: ImportContext) -> None:
        names = {str(row.values["person"]) for row in rows if "person" in row.values}
        people = Person.objects.all()
        self._people = PeopleByName(
            people.select_for_update(no_key=True) if context.locking and names else people, names
        )

    @property
    def all(self) -> Sequence[Person]:
        """Everybody found, some perhaps more than once."""
        return self._people.all

    def of(self, row: ImportRow) -> Person:
        """Return the person that a row names; Refused `person_unknown`, `person_ambiguous`."""
        name = str(row.values["person"])
        person = self._people.one(name)
        if person is None:
            code = "person_ambiguous" if self._people.are_several(name) else "person_unknown"
            raise Refused(ColumnProblem("person", code))
        return person


class Sites:
    """The carrier's sites by code."""

    def __init__(self) -> None:
        self._by_code = {site.code: site for site in Site.objects.order_by("pk")}
        self.codes = {site.pk: site.code for site in self._by_code.values()}

    def of(self, row: ImportRow, column: str) -> Site | None:
        """Return the site that a row names, None where it names none; Refused `site_unknown`."""
        code = row.values.get(column)
        if code is not None and code not in self._by_code:
            raise Refused(ColumnProblem(column, "site_unknown"))
        return None if code is None else self._by_code[str(code)]
