"""Filters by what the carrier owns: units, people and sites, named as bodies name them."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.db.models import QuerySet
from django_filters import rest_framework as filters
from drf_spectacular.utils import extend_schema_field

from common.api.filter_kinds import REFERENCE, ReadFilter
from common.api.values import UuidValue, refused
from common.errors import NotAllowed, NotFound, or_not_found
from fleet.api.requests.roles import SEE_WORK_OF_PEOPLE
from fleet.models import Person
from fleet.rules.units.references import parse_reference
from fleet.selectors.carrier.carrier import site_by_code
from fleet.selectors.units.lookup import resolve_unit, resolve_units

KEY = UuidValue()
ME = "me"


def unit_behind(ref: str) -> UUID:
    """The key of the unit that a reference names; NotFound `unit_unknown`, refused `unit_reference_malformed`."""
    if parse_reference(ref) is None:
        raise refused("unit_reference_malformed")
    unit = or_not_found(resolve_unit(ref), "unit_unknown")
    return unit.pk


def person_behind_key(given: str) -> UUID:
    """The key of a person on record; NotFound `person_unknown`, and as `Uuid` refuses."""
    key = KEY.read(given)
    if not Person.objects.filter(pk=key).exists():
        raise NotFound("person_unknown")
    return key


def site_behind(code: str) -> str:
    """The code of a site on record; NotFound `site_unknown`."""
    site = or_not_found(site_by_code(code), "site_unknown")
    return site.code


class UnitRefFilter(ReadFilter):
    """Rows of one unit, named by number, `number@owner` or key; `field_name` is the way to the unit."""

    def __init__(self, field_name: str | None = None) -> None:
        super().__init__(field_name, read=unit_behind, described=REFERENCE)


class PersonRefFilter(ReadFilter):
    """Rows of one person, named by key; `field_name` is the way to the person."""

    def __init__(self, field_name: str | None = None, **kwargs: Any) -> None:
        kind = UuidValue.said
        super().__init__(field_name, read=person_behind_key, described=kind, **kwargs)


class WorkOfPersonFilter(ReadFilter):
    """Rows of one person's work, named by key or `me`; `whose` says whose the caller may ask for."""

    def __init__(self, **kwargs: Any) -> None:
        described = {"type": "string"}
        super().__init__(
            read=lambda given: given if given == ME else person_behind_key(given), described=described, **kwargs
        )


def _me_or_person(given: str) -> UUID | str:
    return ME if given == ME else person_behind_key(given)


def whose(requested: UUID | str, caller: Person) -> UUID:
    """The key of the person whose work is asked for; NotAllowed for another's, unless looking at it is one's work."""
    key = caller.pk if isinstance(requested, str) else requested
    if key != caller.pk and SEE_WORK_OF_PEOPLE.isdisjoint(caller.current_roles):
        raise NotAllowed("role_not_allowed", roles=sorted(SEE_WORK_OF_PEOPLE))
    return key


class SiteRefFilter(ReadFilter):
    """Rows of one site, named by its code; `field_name` is the way to the code."""

    def __init__(self, field_name: str | None = None) -> None:
        super().__init__(field_name, read=site_behind, described=REFERENCE)


class UnitRefsFormField(forms.MultipleChoiceField):
    """Any number of units as people name them; each is read as one alone is."""

    def clean(self, value: Any) -> Any:
        """Return their keys; refused where one of the references names none."""
        return units_behind([forms.CharField().clean(ref) for ref in self.to_python(value)])


def units_behind(refs: Sequence[str]) -> list[UUID]:
    """Return the keys of the units named, in one statement; refused are a text that is no reference, and no unit."""
    if not all(parse_reference(ref) for ref in refs):
        raise forms.ValidationError("not a unit", code="unit_reference_malformed")
    found = resolve_units(refs)
    if len(found) < len(set(refs)):
        raise forms.ValidationError("no such unit", code="unit_unknown")
    return [unit.pk for unit in found.values()]


@extend_schema_field(
    {"type": "array", "items": {"type": "string"}, "description": "Units by number, `number@owner` or key."}
)
class UnitRefsFilter(filters.Filter):
    """Rows of any of several units, `unit=NL-11&unit=LR-41`."""

    field_class = UnitRefsFormField

    def __init__(self, field_name: str) -> None:
        super().__init__(field_name=field_name, lookup_expr="in")

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        return super().filter(qs, value or None)
