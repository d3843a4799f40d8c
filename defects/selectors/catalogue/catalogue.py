"""What a check is judged by: the catalogue in force, tightened by the carrier, and facts of units and observers."""

import json
import logging
from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from functools import cache, lru_cache
from typing import Any
from uuid import UUID

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Exists

from common.canonical import canonical_json
from common.compiled import KEYS, CompiledObjects, Given, KeyIn
from common.errors import FieldProblem, Invalid
from defects.models import CatalogueVersion, Defect
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.rules.catalogue.closed_sets import scope_to_judge
from defects.rules.catalogue.observed import AxleFacts, Observer, UnitFacts
from defects.rules.catalogue.points import Point
from defects.rules.catalogue.tightening import LooseningRefusedError, read_carrier_rule, tighten
from defects.rules.walkarounds.verdicts import ObserverOf
from fleet.enums import BrakeActuator, Role, Scope
from fleet.models import Axle, Policy, Qualification, Unit

logger = logging.getLogger(__name__)

TIGHTENING = "catalogue_tightening"
"""The policy that holds the carrier's own, stricter rules."""


def catalogue_in_force(policies: Mapping[str, object]) -> Catalogue:
    """The catalogue that comes with the service, as tightened by the carrier's policies in force."""
    return _tightened(canonical_json(policies.get(TIGHTENING) or []).decode())


def is_kept(catalogue: Catalogue) -> Exists:
    """Whether a catalogue was in force before, to be asked within another query."""
    return Exists(CatalogueVersion.objects.filter(pk=catalogue.content_hash))


def stored_catalogue(content_hash: str) -> Catalogue | None:
    """The catalogue of that hash, or None when it was never in force here."""
    version = CatalogueVersion.objects.filter(pk=content_hash).first()
    return None if version is None else _parsed(version.document)


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


@lru_cache(maxsize=8)
def _parsed(document: str) -> Catalogue:
    return Catalogue.from_document(json.loads(document))


def refuse_bad_tightening(policy: Policy, **_: Any) -> None:
    """A carrier's own rules that cannot be applied are refused when they are decided, not when a report comes in."""
    if policy.key == TIGHTENING:
        check_tightening(policy.value)


DETAILS = ("tractor", "trailer", "cooling_unit")
"""What must be fetched with a unit for `unit_facts` to cost no statement."""


def facts_of_units(units: Iterable[Unit]) -> dict[UUID, UnitFacts]:
    """The facts of each unit by its key, in one statement for all axles. Fetch the units with `DETAILS`."""
    known = {unit.pk: unit for unit in units}
    axles: Mapping[UUID, list[Axle]] = defaultdict(list)
    for axle in _axles().fetch(units=list(known)):
        axles[axle.unit_id].append(axle)
    return {key: unit_facts(unit, axles[key]) for key, unit in known.items()}


@cache
def _axles() -> CompiledObjects[Axle]:
    units = Given("units", KEYS)
    return CompiledObjects(Axle.objects.filter(KeyIn("unit_id", units)).order_by("unit_id", "number"))


def unit_facts(unit: Unit, axles: Iterable[Axle]) -> UnitFacts:
    """One unit's facts; what is not recorded is None, never a guess."""
    tractor, trailer, cooling = (_details(unit, name) for name in DETAILS)
    return UnitFacts(
        kind=unit.kind,
        axles=tuple(_axle(axle) for axle in axles),
        steering_wheel_diameter_in=_number(getattr(tractor, "steering_wheel_diameter_in", None)),
        steering_assist=getattr(tractor, "steering_assist", None) or None,
        governor_cut_in_psi=_number(getattr(tractor, "governor_cut_in_psi", None)),
        governor_cut_out_psi=_number(getattr(tractor, "governor_cut_out_psi", None)),
        tank_gal=getattr(cooling, "tank_gal", None),
        slider_pins=_number(getattr(trailer, "slider_pins", None)),
        floor_drains=_number(getattr(trailer, "floor_drains", None)),
        model_year=unit.model_year,
    )


def observer_of(roles: frozenset[str], scopes: frozenset[str]) -> ObserverOf:
    """How one person with those roles and qualification scopes stands to each point."""

    def observe(point: Point | None) -> Observer:
        scope = scope_asked(point)
        qualified = Role.MECHANIC in roles if scope is None else str(scope) in scopes
        return Observer(roles=roles, qualified=qualified, trained=Scope.UNDER_VEHICLE in scopes)

    return observe


def scope_asked(point: Point | None) -> Scope | None:
    """The qualification that a judgement at a point asks for; None where none particular is."""
    return None if point is None else scope_to_judge(point.system)


def scopes_of(person: UUID, on: date) -> frozenset[str]:
    """What a person is qualified for on a day; who is signed in knows it already, see `Person.scopes_on`."""
    held = Qualification.objects.filter(person_id=person, starts_on__lte=on).exclude(ends_on__lt=on)
    return frozenset(held.values_list("scope", flat=True))


def _axle(axle: Axle) -> AxleFacts:
    return AxleFacts(
        number=axle.number,
        role=axle.role,
        dual=axle.dual,
        brake_type=axle.brake_type or None,
        actuator=axle.actuator or BrakeActuator.CLAMP,
        chamber_type=axle.chamber_type or None,
        stroke_class=axle.stroke_class or None,
        rated_stroke_in=axle.rated_stroke_in,
        marked_limit_in=axle.marked_limit_in,
        lining=axle.lining or None,
        tire_size=axle.tire_size or None,
        target_psi=_number(axle.target_psi),
        max_psi=_number(axle.max_psi),
        load_psi=_number(axle.load_psi),
    )


def _details(unit: Unit, name: str) -> object | None:
    try:
        details: object = getattr(unit, name)
    except ObjectDoesNotExist:
        return None
    return details


def _number(value: int | None) -> Decimal | None:
    return None if value is None else Decimal(value)
