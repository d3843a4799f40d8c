"""Taking in scale tickets: from a desk one that does not add up is refused, from the field it is kept and flagged."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Count

from common.clock import refuse_early, refuse_future
from common.errors import FieldProblem, Invalid
from defects.models import Load, ScaleTicket
from defects.rules.weights import HEAVIEST_LB, LIGHTEST_LB, ticket_flags
from defects.services.loads.loads import locked_load, record_of_load, refuse_load_action
from fleet.enums import Role, UnitKind
from fleet.models import Axle, Person, Unit


@dataclass(frozen=True)
class Weighing:
    """A ticket as it reads: the scale, when, each group of axles from the front as (axles, pounds), and gross pounds.

    `photo` is the SHA-256 of the ticket's picture, empty without one.
    """

    tractor: Unit
    scale: str
    weighed_at: datetime
    groups: Sequence[tuple[int, int]]
    gross_lb: int
    number: str = ""
    photo: str = ""


def weigh_load(*, load_id: UUID, weighing: Weighing, actor: Person, now: datetime) -> Load:
    """Keep a scale ticket of a load in its trailer; the newest one is what clearance compares with the limits.

    Invalid `not_a_tractor`, `instant_in_future`, `instant_too_early` for a weighing before the loading,
    `scale_ticket_refused` with what does not fit, where no driver tells it; Conflict, those of the table.
    """
    if weighing.tractor.kind != UnitKind.TRACTOR:
        raise Invalid("not_a_tractor", pointer="/tractor", unit=str(weighing.tractor))
    refuse_future(weighing.weighed_at, now, "/weighed_at")
    with locked_load(load_id=load_id, actor=actor, now=now) as (work, load, _):
        refuse_load_action(work, load, "weigh", {"tractor": weighing.tractor})
        if load.trailer_id is None or load.loaded_at is None:
            raise TypeError("the database keeps a loaded load in a trailer")
        refuse_early(weighing.weighed_at, load.loaded_at, "/weighed_at")
        flags = ticket_flags(weighing.groups, weighing.gross_lb, _axles(weighing.tractor.pk, load.trailer_id))
        if flags and Role.DRIVER not in work.roles:
            raise Invalid(
                "scale_ticket_refused",
                problems=[
                    FieldProblem("/groups", f"scale_ticket_{flag}", {"least": LIGHTEST_LB, "most": HEAVIEST_LB})
                    for flag in flags
                ],
            )
        ticket = ScaleTicket.objects.create(
            load=load,
            tractor=weighing.tractor,
            trailer_id=load.trailer_id,
            scale=weighing.scale,
            number=weighing.number,
            weighed_at=weighing.weighed_at,
            groups=[{"axles": count, "lb": pounds} for count, pounds in weighing.groups],
            gross_lb=weighing.gross_lb,
            photo=weighing.photo,
            flags=list(flags),
            recorded_at=now,
            recorded_by=actor,
        )
        body = {"scale": ticket.scale, "gross_lb": ticket.gross_lb, "groups": ticket.groups, "flags": ticket.flags}
        record_of_load(work, load, load.trailer_id, "load_weighed", body, at=ticket.weighed_at)
        work.save(load)
        return load


def _axles(*units: UUID) -> int:
    """How many axles the units have together; 0 where those of one are not recorded."""
    found = Axle.objects.filter(unit_id__in=units).order_by().values_list("unit_id").annotate(axles=Count("pk"))
    return sum(count for _, count in found) if len(found) == len(units) else 0
