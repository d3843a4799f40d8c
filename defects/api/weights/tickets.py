"""Scale tickets as they are handed in and as a load shows them."""

from datetime import datetime
from typing import Annotated, Self
from uuid import UUID

from django.utils.translation import get_language
from pydantic import Field

from common import messages
from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.values import Instant, Sha256, Text, Whole, Word
from common.messages import of_stored
from defects.models import ScaleTicket
from defects.rules.weights import HEAVIEST_LB, LIGHTEST_LB, TicketFlag
from defects.services.weights import Weighing
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitRef, UnitShort
from fleet.models import Unit

Pounds = Annotated[int, Whole(least=1)]


class WeighedGroupBody(Body):
    """Axles that stood on one platform of the scale, and their weight."""

    axles: Annotated[int, Whole(least=1, most=12)]
    lb: Pounds


class ScaleTicketBody(Body):
    """A scale ticket of a load in its trailer; weighed now when no instant is given."""

    tractor: UnitRef
    scale: Annotated[str, Text(120)] = Field(description="where it was weighed")
    number: Annotated[str, Text(40, may_be_blank=True)] = Field(default="", description="as printed on the ticket")
    weighed_at: Instant = ABSENT
    groups: Annotated[list[WeighedGroupBody], Field(min_length=1, max_length=12)] = Field(
        description="from the front axle to the rear"
    )
    gross_lb: Pounds
    photo: Sha256 = Field(default=ABSENT, description="the ticket's picture, which is sent under this name")

    def weighing(self, tractor: Unit, now: datetime) -> Weighing:
        """Return the ticket as the services take it."""
        return Weighing(
            tractor=tractor,
            scale=self.scale,
            weighed_at=self.weighed_at or now,
            groups=[(group.axles, group.lb) for group in self.groups],
            gross_lb=self.gross_lb,
            number=self.number,
            photo=self.photo or "",
        )


class WeighedGroupAnswer(Answer):
    """Axles that were weighed at once."""

    axles: int
    lb: int


class TicketFlagAnswer(Answer):
    """What is odd about a ticket."""

    code: Annotated[str, Word(TicketFlag)]
    says: str


class ScaleTicketAnswer(Answer):
    """One weighing. The newest without a flag is compared with the limits when dispatch asks."""

    id: UUID
    tractor: UnitShort
    trailer: UnitShort
    scale: str
    number: str
    weighed_at: datetime
    groups: list[WeighedGroupAnswer]
    gross_lb: int
    photo: str = Field(description="SHA-256 of the ticket's picture; empty without one")
    flags: list[TicketFlagAnswer]
    recorded_at: datetime
    recorded_by: PersonShort

    @classmethod
    def of_ticket(cls, ticket: ScaleTicket) -> Self:
        """Return a ticket with its flags in words."""
        language, facts = get_language() or "en", {"least": LIGHTEST_LB, "most": HEAVIEST_LB}
        flags = [
            TicketFlagAnswer(code=flag, says=messages.render(of_stored("scale_ticket", flag, facts), language))
            for flag in ticket.flags
        ]
        groups = [WeighedGroupAnswer(axles=group["axles"], lb=group["lb"]) for group in ticket.groups]
        return cls.of(ticket, groups=groups, flags=flags)
