"""What a check is judged by: the catalogue in force, tightened by the carrier, and facts of units and observers."""

import json
import logging
from collections.abc import Collection, Iterable, Mapping
from dataclasses import fields
from datetime import date, datetime
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any
from uuid import UUID

from django.contrib.postgres.fields import ArrayField
from django.db.models import Case, DecimalField, Exists, F, Func, OuterRef, Q, QuerySet, Subquery, When
from django.db.models.expressions import Combinable

from common.canonical import canonical_json
from common.compiled import INSTANT, KEYS, Compiled, KeyIn, Parameter
from common.errors import FieldProblem, Invalid
from defects.enums import TemperatureClass
from defects.models import CatalogueVersion, Defect, Load
from defects.rules.catalogue.catalogue import Catalogue, MalformedCatalogueError, load_catalogue
from defects.rules.catalogue.observed import AxleFacts, Observer, UnitFacts
from defects.rules.catalogue.points import Point
from defects.rules.catalogue.tightening import LooseningRefusedError, read_carrier_rule, tighten
from defects.rules.certificates import scope_to_judge
from defects.rules.walkarounds.verdicts import ObserverOf
from fleet.enums import Role, Scope, UnitKind
from fleet.models import Mounting, Policy, Qualification, Unit

logger = logging.getLogger(__name__)

TIGHTENING = "catalogue_tightening"
"""The policy that holds the carrier's own, stricter rules."""


def catalogue_in_force(policies: Mapping[str, object]) -> Catalogue:
    """The catalogue that comes with the service, as tightened by the carrier's policies in force."""
    return _tightened(canonical_json(policies.get(TIGHTENING) or []).decode())


def is_stored(content_hash: Parameter) -> Exists:
    """Whether the catalogue of that hash was in force before, to be asked within another query."""
    return Exists(CatalogueVersion.objects.filter(pk=content_hash))


def stored_catalogue(content_hash: str) -> Catalogue | None:
    """The catalogue of that hash, or None when it was never in force here."""
    return parsed(catalogue_documents({content_hash}).get(content_hash))


def catalogue_documents(content_hashes: Collection[str]) -> dict[str, str]:
    """The documents of the catalogues of these hashes that were ever in force, in one statement; none for no hash."""
    if not content_hashes:
        return {}
    return dict(CatalogueVersion.objects.filter(pk__in=content_hashes).values_list("content_hash", "document"))


@lru_cache(maxsize=8)
def parsed(document: str | None) -> Catalogue | None:
    """The catalogue of a stored document; None where there is none, or none that this release can read.

    Of one that cannot be read nobody knows what its legs answered, so that it is looked at again.
    """
    if document is None:
        return None
    try:
        return Catalogue.from_document(json.loads(document))
    except MalformedCatalogueError:
        logger.exception("a stored catalogue cannot be read")
        return None


def catalogue_naming(defect: Defect) -> Catalogue:
    """The catalogue that comes with the service, or for a point of the carrier's own the one that judged the defect."""
    known = load_catalogue()
    if not defect.point or known.get(defect.point) is not None or defect.catalogue_id is None:
        return known
    return stored_catalogue(defect.catalogue_id) or known


def check_tightening(value: object) -> None:
    """Refuse carrier rules that cannot be read or would loosen the catalogue: Invalid `carrier_rules_refused`."""
    rows = value if isinstance(value, list) else [value]
    rules, problems = [], []
    for index, row in enumerate(rows):
        rule, faults = read_carrier_rule(row)
        if rule is not None:
            rules.append(rule)
        for field, message in faults:
            problems.append(FieldProblem(f"/value/{index}/{field}", "carrier_rule_malformed", {"reason": message}))
    if problems:
        raise Invalid("carrier_rules_refused", problems=problems)
    tighten(load_catalogue(), rules)


@lru_cache(maxsize=8)
def _tightened(rules: str) -> Catalogue:
    """The catalogue with each rule that applies; one that a newer catalogue made void is left out and logged.

    A report signed in the field must never be lost to a rule of the carrier's, so nothing is raised here.
    """
    catalogue = load_catalogue()
    for row in json.loads(rules):
        rule, faults = read_carrier_rule(row)
        if rule is None:
            logger.error("carrier rule %s cannot be read: %s", row, faults)
            continue
        try:
            catalogue = tighten(catalogue, [rule])
        except LooseningRefusedError as refused:
            logger.error("carrier rule %s no longer applies: %s", row, refused)  # noqa: TRY400  says all there is
    return catalogue


def refuse_bad_tightening(policy: Policy, **_: Any) -> None:
    """A carrier's own rules that cannot be applied are refused when they are decided, not when a report comes in."""
    if policy.key == TIGHTENING:
        check_tightening(policy.value)


_UNIT = {
    "kind": "kind",
    "model_year": "model_year",
    "steering_wheel_diameter_in": "tractor__steering_wheel_diameter_in",
    "steering_assist": "tractor__steering_assist",
    "governor_cut_in_psi": "tractor__governor_cut_in_psi",
    "governor_cut_out_psi": "tractor__governor_cut_out_psi",
    "slider_pins": "trailer__slider_pins",
    "floor_drains": "trailer__floor_drains",
    "tank_gal": "cooling_unit__tank_gal",
    "least_air_drop_f": "forecast__air_drop_least_f",
}
"""Facts of a unit, and where each is recorded."""
_ORDER = {"ordered_setpoint_f": "setpoint_f", "ordered_lowest_f": "lowest_f", "ordered_highest_f": "highest_f"}
"""What a load orders of its cooling unit, in °F, and where in the load."""
_AXLE = [each.name for each in fields(AxleFacts)]
_COUNTED = {"number", "model_year"}
"""Facts that count; all other numbers are measures."""


def facts_of_units(units: Iterable[UUID], *, at: datetime) -> dict[UUID, UnitFacts]:
    """The facts of each unit that a key names, in one statement; what is not recorded is None, never a guess.

    A load's order counts where it was on record at that instant and the load is neither delivered nor called off.
    """
    axles: dict[UUID, list[AxleFacts]] = {}
    found = {}
    for key, order, *row in _facts().rows(units=list(units), at=at):
        found[key] = [*row[: len(_UNIT)], *(order or (None,) * len(_ORDER))]
        known = _known(_AXLE, row[len(_UNIT) :])
        if "number" in known:
            axles.setdefault(key, []).append(AxleFacts(**known))
    return {
        key: UnitFacts(**_known((*_UNIT, *_ORDER), row), axles=tuple(axles.get(key, ()))) for key, row in found.items()
    }


@cache
def _facts() -> Compiled:
    """A row for each axle of each unit, and one for a unit without any."""
    units = Unit.objects.filter(KeyIn("pk", Parameter("units", KEYS))).order_by("pk", "axles__number")
    ordered = Case(When(kind=UnitKind.COOLING_UNIT, then=Subquery(_order_of_load(Parameter("at", INSTANT)))))
    columns: tuple[str | Combinable, ...] = ("pk", ordered, *_UNIT.values(), *(f"axles__{name}" for name in _AXLE))
    return Compiled(units.values_list(*columns))


def _order_of_load(at: Parameter) -> QuerySet[Load, Any]:
    """What is ordered for the trailer under a cooling unit: of the load aboard, or else of the first one planned."""
    figures = (F(column) for column in _ORDER.values())
    array = Func(*figures, template="ARRAY[%(expressions)s]", output_field=ArrayField(DecimalField()))
    mounted = Mounting.objects.filter(cooling_unit=OuterRef(OuterRef("pk")), span__endswith__isnull=True)
    loads = Load.objects.filter(
        ~Q(temperature_class=TemperatureClass.DRY),
        trailer__in=mounted.values("trailer_id"),
        recorded_at__lte=at,
        delivered_at__isnull=True,
        cancelled_at__isnull=True,
    )
    return loads.order_by(F("loaded_at").asc(nulls_last=True), "recorded_at", "pk").values_list(array)[:1]


def _known(names: Iterable[str], values: Iterable[Any]) -> dict[str, Any]:
    return {
        name: Decimal(value) if type(value) is int and name not in _COUNTED else value
        for name, value in zip(names, values, strict=True)
        if value is not None and value != ""
    }


def observer_of(roles: frozenset[str], scopes: frozenset[str]) -> ObserverOf:
    """How one person with those roles and qualification scopes stands to each point."""

    def observe(point: Point | None) -> Observer:
        scope = scope_needed(point)
        qualified = Role.MECHANIC in roles if scope is None else str(scope) in scopes
        return Observer(roles=roles, qualified=qualified, trained=Scope.UNDER_VEHICLE in scopes)

    return observe


def scope_needed(point: Point | None) -> Scope | None:
    """The qualification that a judgement at a point asks for; None where none particular is."""
    return None if point is None else scope_to_judge(point.system)


def scopes_of(person: UUID, on: date) -> frozenset[str]:
    """What a person is qualified for on a day; who is signed in knows it already, see `Person.scopes_on`."""
    held = Qualification.objects.filter(person_id=person, starts_on__lte=on).exclude(ends_on__lt=on)
    return frozenset(held.values_list("scope", flat=True))
