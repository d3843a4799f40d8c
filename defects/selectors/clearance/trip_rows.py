"""What is around units, as rows of facts: documents, loads, combinations, the driver, the carrier and its policies."""

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Case, F, Func, JSONField, Max, OuterRef, Q, QuerySet, UUIDField, When
from django.db.models.functions import Greatest, JSONObject

from common.compiled import KeyIn, Parameter, TextIn
from defects.enums import RiskEntryKind, RiskState
from defects.models import Load, LoadAtRisk
from defects.selectors.clearance.fact_row import Rows, as_rows
from defects.selectors.loads.loads import ON_BOARD
from fleet.enums import Location, Role
from fleet.models import Carrier, CouplingMember, Document, Mounting, Person, PersonRole, Unit, Whereabouts
from fleet.selectors.carrier.carrier import newest_policies
from fleet.selectors.units.whereabouts import FACTS, NEWEST, NOTHING_SAID


def details(units: Parameter) -> Rows:
    """What is written on the units themselves that can speak against them."""
    return as_rows(
        Unit.objects.filter(KeyIn("pk", units)).order_by(),
        "details",
        "pk",
        plate="plate",
        tank_gal="cooling_unit__tank_gal",
        unusable_gal="cooling_unit__unusable_gal",
        burn_gal_per_h="cooling_unit__burn_gal_per_h",
    )


def documents(units: Parameter, drivers: QuerySet[Person]) -> tuple[Rows, ...]:
    """The current documents of the units, of the driver and of the carrier; joined by OR, all would be read."""
    of_carrier = Q(unit__isnull=True, person__isnull=True)
    return tuple(map(_documents, (Q(KeyIn("unit_id", units)), Q(person__in=drivers.values("pk")), of_carrier)))


def _documents(subject: Q) -> Rows:
    return as_rows(
        Document.objects.filter(subject, superseded_at__isnull=True).order_by(),
        "document",
        "unit_id",
        kind="kind",
        person="person_id",
        us_state="us_state",
        starts_on="starts_on",
        issued_on="issued_on",
        ends_on="ends_on",
        ends_on_month="ends_on_month",
        program="program",
    )


def loads_at_risk(units: Parameter) -> Rows:
    """Loads at risk that are open, or whose load still rides; by the trailer the load is in, or was in."""
    now_in = Case(
        When(load__delivered_at__isnull=True, load__loaded_at__isnull=False, then=F("load__trailer_id")),
        default=F("trailer_id"),
        output_field=UUIDField(),
    )
    active = Q(state=RiskState.OPEN) | Q(load__loaded_at__isnull=False, load__delivered_at__isnull=True)
    decided = Max("entries__at", filter=Q(entries__kind=RiskEntryKind.DECISION))
    risks = (
        LoadAtRisk.objects.filter(active, Q(KeyIn("trailer_id", units)) | Q(KeyIn("load__trailer_id", units)))
        .annotate(now_in=now_in, decided=decided)
        .annotate(decided_at=Greatest("decided", "closed_at"))
    )
    return as_rows(
        risks.order_by(),
        "risk",
        "now_in",
        id="id",
        since="opened_at",
        decided_at="decided_at",
        state="state",
        cause="cause",
        facts="facts",
        cause_at="cause_at",
    )


def left(units: Parameter) -> Rows:
    """Where and how the units were left: the newest word, where it says more than that they are at a site of ours."""
    newest = Whereabouts.objects.filter(NEWEST, KeyIn("unit_id", units)).exclude(location=Location.UNDER_WAY)
    return as_rows(newest.exclude(NOTHING_SAID).order_by(), "left", "unit_id", **FACTS)


def couplings(units: Parameter, as_of: Parameter) -> Rows:
    """The combinations that the units are recorded in, with every unit of each."""
    running = CouplingMember.objects.filter(KeyIn("unit_id", units), span__contains=as_of).values("coupling_id")
    of_these = KeyIn("coupling_id", ArraySubquery(running))  # as an array: joined, every coupling may be read
    members = CouplingMember.objects.filter(of_these, span__contains=as_of).order_by()
    return as_rows(
        members,
        "coupling",
        "unit_id",
        coupling="coupling_id",
        since="span__startswith",
        number="unit__number",
        owner="unit__owner",
    )


def mountings(units: Parameter, as_of: Parameter) -> Rows:
    """Which of the cooling units sit on which trailer."""
    mounted = Mounting.objects.filter(KeyIn("cooling_unit_id", units), span__contains=as_of).order_by()
    return as_rows(mounted, "mounting", "cooling_unit_id", trailer="trailer_id")


def loads(units: Parameter, numbers: Parameter) -> Rows:
    """The loads that are asked for, and those that are in the units' trailers."""
    named = Q(TextIn("number", numbers))
    return as_rows(
        Load.objects.filter(named | (ON_BOARD & Q(KeyIn("trailer_id", units)))).order_by(),
        "load",
        "pk",
        id="pk",
        number="number",
        temperature_class="temperature_class",
        food="food",
        setpoint_f="setpoint_f",
        weight_lb="weight_lb",
        seal="seal",
        trailer="trailer_id",
        trailer_number="trailer__number",
        loaded_at="loaded_at",
        delivered_at="delivered_at",
        cancelled_at="cancelled_at",
        pre_load_checked_at="pre_load_checked_at",
        seal_read="seal_read",
        seal_read_at="seal_read_at",
        seal_decided_at="seal_decided_at",
        seal_checked_at="seal_checked_at",
        seal_checked_by="seal_checked_by_id",
        us_states="us_states",
        permits="overweight_permits",
    )


def driver(drivers: QuerySet[Person]) -> Rows:
    """Who is to drive, with the days on which the person is a driver."""
    held = PersonRole.objects.filter(person=OuterRef("pk"), role=Role.DRIVER).order_by()
    periods = ArraySubquery(held.values(period=JSONObject(starts_on="starts_on", ends_on="ends_on")))
    return as_rows(
        drivers, "driver", "pk", name="name", drives=Func(periods, function="to_jsonb", output_field=JSONField())
    )


def carrier(as_of: Parameter) -> Rows:
    """One row: the carrier's zone, and what it has decided so far."""
    decided = Func(ArraySubquery(newest_policies(as_of)), function="to_jsonb", output_field=JSONField())
    return as_rows(Carrier.objects.order_by(), "carrier", "pk", zone="time_zone", decided=decided)
