"""Moves of a barred unit: on private ground to the bay, and on the road to the nearest safe repair place (396.7(b))."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q

from common.clock import day_in_zone, refuse_early, refuse_future
from common.errors import Conflict, FieldProblem, Invalid, NotAllowed, NotFound
from common.measures import number
from defects.enums import OPEN_DEFECT_STATES, Bars, HoldKind
from defects.models import Defect, Hold, LimitedMove, YardMove
from defects.models.moves import with_miles
from defects.selectors.defects.naming import names_of_hold
from defects.selectors.moves import move_state, odometer_total
from defects.selectors.refusals import refusal_waits
from defects.transitions import ALLOW_LIMITED_MOVE, LIMITED_MOVES, MOVE_IN_YARD
from fleet.enums import Location, NotificationKind, Role
from fleet.models import Person, PersonRole, Site, Unit
from fleet.selectors.carrier.carrier import effective_policies
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, create_notifications, find_recipients
from fleet.services.notifications.skipped_records import in_batches
from fleet.services.records.unit_of_work import unit_of_work
from fleet.services.units.whereabouts import Left, whereabouts_of

LONGEST = timedelta(hours=24)
"""Our own default: a limited move is one trip to a near place."""

BATCH = 500

FARTHEST_MI = 100
"""Miles. Our own default, from memory of how far apart repair places stand along a highway; 396.7(b) says no figure."""


@dataclass(frozen=True)
class LimitedMoveRequest:
    """Everything that 396.7(b) asks for, in words: why that place is the nearest, why going is less hazardous."""

    found_on_highway: bool
    found_at_place: str
    to_place: str
    distance_mi: Decimal
    why_nearest: str
    why_less_hazardous: str
    driver: Person
    driver_consented_at: datetime
    ends_at: datetime
    conditions: str = ""


def record_yard_move(
    *,
    unit_id: UUID,
    site: Site,
    from_place: str,
    to_place: str,
    reason: str,
    moved_at: datetime,
    actor: Person,
    now: datetime,
) -> YardMove:
    """Record a move on the carrier's private ground to the bay; it lifts nothing. The unit is there from then on.

    Conflict `order_forbids_move` while an officer's order stands (396.9(c)(2) knows no exception for private ground);
    Invalid `instant_in_future`; NotAllowed `role_not_allowed`.
    """
    if MOVE_IN_YARD.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="yard_move", roles=sorted(MOVE_IN_YARD))
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        _refuse_officers_order(unit_id)
        refuse_future(moved_at, now, "/moved_at")
        refuse_early(moved_at, Unit.objects.get(pk=unit_id).known_from, "/moved_at")
        move = YardMove.objects.create(
            unit_id=unit_id,
            site=site,
            from_place=from_place,
            to_place=to_place,
            reason=reason,
            person=actor,
            moved_at=moved_at,
            recorded_at=now,
        )
        left = Left(location=Location.SITE, site=site, address=to_place)
        whereabouts_of(unit_id, left, since=moved_at, work=work).save(force_insert=True)
        body = {"site": site.code, "from": from_place, "to": to_place, "reason": reason}
        work.record(unit_id, "yard_move", subject=move.pk, performed_at=moved_at, body=body)
        return move


def allow_limited_move(*, unit_id: UUID, requested: LimitedMoveRequest, actor: Person, now: datetime) -> LimitedMove:
    """Allow one trip of a unit found unsafe on the highway to the nearest place where it can safely be repaired.

    Conflict `order_forbids_move`, `refusal_waits`, `nothing_found_unsafe`, `move_allowed_already`; Invalid
    `limited_move_refused` with a pointer to each condition that is not met; NotAllowed `role_not_allowed`.
    """
    if ALLOW_LIMITED_MOVE.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="limited_move", roles=sorted(ALLOW_LIMITED_MOVE))
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        _refuse_officers_order(unit_id)
        if refusal_waits(unit_id):
            raise Conflict("refusal_waits")
        unsafe_since = _unsafe_since(unit_id)
        if unsafe_since is None:
            raise Conflict("nothing_found_unsafe")
        if LimitedMove.objects.filter(unit_id=unit_id, ended_at__isnull=True, ends_at__gt=now).exists():
            raise Conflict("move_allowed_already")
        problems = _unmet(requested, unsafe_since, actor, now)
        if problems:
            raise Invalid("limited_move_refused", problems=problems)
        move = LimitedMove.objects.create(
            unit_id=unit_id,
            found_at_place=requested.found_at_place,
            to_place=requested.to_place,
            distance_mi=requested.distance_mi,
            why_nearest=requested.why_nearest,
            why_less_hazardous=requested.why_less_hazardous,
            driver=requested.driver,
            driver_consented_at=requested.driver_consented_at,
            conditions=requested.conditions,
            approved_by=actor,
            approved_at=now,
            from_mi=odometer_total(unit_id, since=unsafe_since, until=now),
            ends_at=requested.ends_at,
        )
        work.record(
            unit_id,
            "limited_move_allowed",
            subject=move.pk,
            body={
                "from": requested.found_at_place,
                "to": requested.to_place,
                "distance_mi": requested.distance_mi,
                "why_nearest": requested.why_nearest,
                "why_less_hazardous": requested.why_less_hazardous,
                "driver": requested.driver.name,
                "consented_at": requested.driver_consented_at,
                "ends_at": requested.ends_at,
                "conditions": requested.conditions,
            },
        )
        return move


def end_limited_move(*, move_id: UUID, ended_at: datetime, note: str, actor: Person, now: datetime) -> LimitedMove:
    """Record that a limited move is over; the permission ends with it.

    NotFound `move_unknown`, also for a driver whose move it is not; those of the table; Invalid `instant_in_future`,
    `ended_before_allowed`.
    """
    known = LimitedMove.objects.filter(pk=move_id).first()
    own_only = Role.FOREMAN not in actor.current_roles
    if known is None or (own_only and known.driver_id != actor.pk):
        raise NotFound("move_unknown")
    with unit_of_work([known.unit_id], actor=actor, now=now) as work:
        move = LimitedMove.objects.select_related("unit", "driver", "approved_by").get(pk=move_id)
        LIMITED_MOVES.resolve("end", move_state(move), actor.current_roles, {"ended_at"})
        if ended_at > now:
            raise Invalid("instant_in_future", pointer="/ended_at")
        if ended_at < move.approved_at:
            raise Invalid("ended_before_allowed", pointer="/ended_at", approved_at=move.approved_at)
        move.ended_at, move.end_note = ended_at, note
        move.save(update_fields=["ended_at", "end_note"])
        late = ended_at > move.ends_at
        work.record(
            move.unit_id,
            "limited_move_ended",
            subject=move.pk,
            performed_at=ended_at,
            body={"note": note, "late": late},
        )
        return move


def notify_of_passed_moves(*, now: datetime) -> int:
    """Notify dispatch, once, of each limited move whose miles or time are passed; how many notifications are new.

    Of time alone only while the unit is barred: one that was repaired needs no permission any more.
    """
    barred = Exists(Hold.objects.filter(unit=OuterRef("unit"), lifted_at__isnull=True)) | Exists(
        Defect.objects.filter(unit=OuterRef("unit"), state__in=OPEN_DEFECT_STATES, bars=Bars.MOVEMENT)
    )
    going = with_miles(LimitedMove.objects.filter(barred, ended_at__isnull=True), now).select_related("unit", "driver")
    passed = going.filter(Q(ends_at__lte=now) | Q(driven_mi__gt=F("distance_mi"))).order_by("approved_at", "pk")
    office = RecipientGroup(Role.DISPATCH, on_call=True)
    people = [person.pk for person in find_recipients([office], now=now)[office]]

    def notify(batch: Sequence[LimitedMove]) -> int:
        return len(create_notifications([_passed(move, people) for move in batch], now=now))

    return in_batches("notify_of_passed_moves", list(passed), notify, key=lambda move: move.pk, size=BATCH, now=now)


def _passed(move: LimitedMove, people: list[UUID]) -> NotificationDraft:
    driven: Decimal | None = move.driven_mi  # type: ignore[attr-defined]  # annotated
    by_miles = driven is not None and driven > move.distance_mi
    miles = {"driven_mi": number(driven), "distance_mi": number(move.distance_mi)} if by_miles and driven else {}
    return NotificationDraft(
        kind=NotificationKind.LIMITED_MOVE_PASSED,
        code="limited_move_miles_passed" if miles else "limited_move_time_passed",
        subject=move.pk,
        people=people,
        facts={
            "unit": str(move.unit),
            "to_place": move.to_place,
            "name": move.driver.name,
            **(miles or {"ends_at": move.ends_at}),
        },
        unit=move.unit_id,
        urgent=True,
    )


def _refuse_officers_order(unit_id: UUID) -> None:
    order = Hold.objects.filter(unit=unit_id, kind=HoldKind.OFFICER, lifted_at__isnull=True)
    order_in_force = order.select_related("defect").order_by("number").first()
    if order_in_force is not None:
        raise Conflict("order_forbids_move", hold=order_in_force.number, what=names_of_hold(order_in_force))


def _unsafe_since(unit_id: UUID) -> datetime | None:
    """When the first thing came about for which the unit is unsafe; None where nothing is."""
    held = Hold.objects.filter(unit=unit_id, kind=HoldKind.CARRIER, lifted_at__isnull=True)
    open_defects = Defect.objects.filter(unit=unit_id, state__in=OPEN_DEFECT_STATES, bars=Bars.MOVEMENT)
    instants = held.values_list("placed_at", flat=True).union(open_defects.values_list("found_at", flat=True))
    return min(instants, default=None)


def _unmet(requested: LimitedMoveRequest, unsafe_since: datetime, actor: Person, now: datetime) -> list[FieldProblem]:
    """Every condition of 396.7(b), and of the driver's consent, that what was asked does not meet."""
    described = ("found_at_place", "to_place", "why_nearest", "why_less_hazardous")
    problems = [FieldProblem(f"/{name}", "required") for name in described if not getattr(requested, name).strip()]
    if not requested.found_on_highway:
        problems.append(FieldProblem("/found_on_highway", "only_from_the_highway"))
    if requested.driver.pk == actor.pk:
        problems.append(FieldProblem("/driver", "driver_consents_for_themselves"))
    elif not _is_driver(requested.driver, now):
        problems.append(FieldProblem("/driver", "not_a_driver"))
    if requested.driver_consented_at > now:
        problems.append(FieldProblem("/driver_consented_at", "instant_in_future"))
    elif requested.driver_consented_at < unsafe_since:
        early = {"earliest": unsafe_since, "year": unsafe_since.year}
        problems.append(FieldProblem("/driver_consented_at", "instant_too_early", early))
    if requested.distance_mi <= 0:
        problems.append(FieldProblem("/distance_mi", "min_value"))
    elif requested.distance_mi > FARTHEST_MI:
        problems.append(FieldProblem("/distance_mi", "limited_move_too_far", {"most": FARTHEST_MI}))
    if not now < requested.ends_at <= now + LONGEST:
        problems.append(FieldProblem("/ends_at", "limited_move_too_long", {"latest": now + LONGEST}))
    return problems


def _is_driver(person: Person, now: datetime) -> bool:
    today = day_in_zone(now, effective_policies(now=now).zone)
    held = PersonRole.objects.filter(person=person, role=Role.DRIVER)
    return person.is_active and any(role.in_force(today) for role in held)
