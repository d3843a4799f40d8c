"""From what people call things to their rows: in an address a stranger is 404, in a body or a query a refused value."""

from collections.abc import Callable, Sequence
from typing import TypeVar
from uuid import UUID

from django.db.models import QuerySet

from common.errors import FieldProblem, Invalid, NotFound, or_not_found
from fleet.models import Person, Site, Unit
from fleet.rules.units.references import REFERENCE_PATTERN
from fleet.selectors.carrier.carrier import site_by_code
from fleet.selectors.units.lookup import resolve_unit, resolve_units

K = TypeVar("K")


def in_body(find: Callable[[str], K], ref: str, pointer: str) -> K:
    """Return what `find` finds of a thing named in a body; Invalid with its code where it raises NotFound."""
    try:
        return find(ref)
    except NotFound as error:
        raise Invalid(error.code, pointer=pointer) from error


def unit_in_path(ref: str, *, among: QuerySet[Unit] | None = None) -> Unit:
    """Return the unit named in an address; NotFound `unit_unknown`."""
    return or_not_found(resolve_unit(ref, among=among), "unit_unknown")


def units_in_body(refs: Sequence[str], pointers: Sequence[str]) -> list[Unit]:
    """Return the units named in a body, in one statement; Invalid `unit_unknown` with a pointer to each stranger."""
    found = resolve_units(refs)
    strangers = [place for ref, place in zip(refs, pointers, strict=True) if ref not in found]
    if strangers:
        raise Invalid("unit_unknown", problems=[FieldProblem(place, "unit_unknown") for place in strangers])
    return [found[ref] for ref in refs]


def unit_in_body(ref: str, pointer: str) -> Unit:
    """Return the one unit named in a body; Invalid `unit_unknown`."""
    return units_in_body([ref], [pointer])[0]


def site_in_body(code: str | None, pointer: str) -> Site | None:
    """Return the site named in a body, None for none; Invalid `site_unknown`."""
    if code is None:
        return None
    site = site_by_code(code)
    if site is None:
        raise Invalid("site_unknown", pointer=pointer)
    return site


def person_in_body(key: UUID, pointer: str) -> Person:
    """Return the person named in a body; Invalid `person_unknown`."""
    person = Person.objects.filter(pk=key).first()
    if person is None:
        raise Invalid("person_unknown", pointer=pointer)
    return person


def code_of(site: Site | None) -> str | None:
    """Return the code by which a site stands in an answer."""
    return None if site is None else site.code


class UnitReferenceConverter:
    """`<unit:ref>` in a path; what could name no unit is no address of ours."""

    regex = REFERENCE_PATTERN

    def to_python(self, value: str) -> str:
        """Return the reference as it was written."""
        return value

    def to_url(self, value: str) -> str:
        """Return the reference as it is written."""
        return value
