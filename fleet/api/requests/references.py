"""From what people call things to their rows: in an address a stranger is 404, in a body or a query a refused value."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms
from django.db.models import QuerySet
from django_filters import rest_framework as filters
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field

from common.errors import FieldProblem, Invalid, NotFound
from fleet.models import Person, Site, Unit
from fleet.rules.units.references import REFERENCE_PATTERN, parse_reference
from fleet.selectors.carrier.carrier import site_by_code
from fleet.selectors.units.lookup import resolve_unit, resolve_units


def unit_in_path(ref: str, *, among: QuerySet[Unit] | None = None) -> Unit:
    """Return the unit named in an address; NotFound `unit_unknown`."""
    unit = resolve_unit(ref, among=among)
    if unit is None:
        raise NotFound("unit_unknown")
    return unit


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


def units_behind(refs: Sequence[str]) -> list[UUID]:
    """Return the keys of the units named, in one statement; refused are a text that is no reference, and no unit."""
    if not all(parse_reference(ref) for ref in refs):
        raise forms.ValidationError("not a unit", code="unit_reference_malformed")
    found = resolve_units(refs)
    if len(found) < len(set(refs)):
        raise forms.ValidationError("no such unit", code="unit_unknown")
    return [unit.pk for unit in found.values()]


class UnitRefFormField(forms.CharField):
    """A unit as people name it."""

    def clean(self, value: Any) -> Any:
        """Return the unit's key, None for no reference; refused for what names none: a slip never looks clean."""
        given = super().clean(value)
        return units_behind([given])[0] if given else None


@extend_schema_field(OpenApiTypes.STR)
class UnitRefFilter(filters.CharFilter):
    """Rows of one unit, named by number, `number@owner` or key; `field_name` is the way to the unit."""

    field_class = UnitRefFormField


class UnitRefsFormField(forms.MultipleChoiceField):
    """Any number of units as people name them; each is read as one alone is."""

    def clean(self, value: Any) -> Any:
        """Return their keys; refused as above where one of the references names none."""
        return units_behind([forms.CharField().clean(ref) for ref in self.to_python(value)])


@extend_schema_field({"type": "array", "items": {"type": "string"}})
class UnitRefsFilter(filters.Filter):
    """Rows of any of several units, `unit=NL-11&unit=LR-41`; list its parameter in the filter set's `multiple`."""

    field_class = UnitRefsFormField

    def __init__(self, field_name: str) -> None:
        super().__init__(field_name=field_name, lookup_expr="in")

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        """Return the rows of the units named, all rows when none is."""
        return super().filter(qs, value or None)
