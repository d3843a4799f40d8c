"""Refusing a unit, the second look, and reading refusals with one's own copy."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from http import HTTPStatus
from typing import Annotated, Any, Self
from uuid import UUID

from django.db.models import Q, QuerySet
from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.parsers import BaseParser
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.parsers import FieldJSONParser, StrictJSONParser
from common.api.signed_bodies import Expected
from common.api.values import Instant, Numbered, Text, Word
from common.api.views import takes
from defects.api.records import ActFlagAnswer, FieldActBody, field_act
from defects.enums import RefusalState
from defects.models import Defect, Refusal
from defects.selectors.defects.defects import defects_named
from defects.selectors.records.act_flags import ActFlags, flags_of_acts
from defects.selectors.refusals import may_see_copy, recipients_of, refusal_state, refusals_visible_to
from defects.services.refusals.refusals import look_again, refuse_unit
from defects.transitions import REFUSALS, REFUSE
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.filters import UnitRefsFilter
from fleet.api.requests.references import unit_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.short import UnitRef, UnitShort
from fleet.models import Person


class RefusalFilters(StrictFilterSet):
    """By unit, whether a second person has looked, and when."""

    unit = UnitRefsFilter("unit")
    open = OpenFilter(Q(second_look__isnull=True))
    since, until = within("refused_at")


class SecondLookAnswer(Answer):
    """The second look."""

    person: PersonShort
    found: str
    looked_at: datetime


class RefusalAnswer(Answer):
    """A refusal. `copy` is the driver's own, proven by its SHA-256; empty for whoever may not read it."""

    id: UUID
    unit: UnitShort
    state: Annotated[str, Word(RefusalState)]
    person: PersonShort
    reason: str
    defects: list[int]
    refused_at: datetime
    received_at: datetime
    drivers_copy: str = Field(alias="copy")
    copy_sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    second_look: SecondLookAnswer | None
    recipients: list[str] = Field(description="who was told of the refusal, by name")
    flags: list[ActFlagAnswer]
    allowed_actions: list[str]

    @classmethod
    def for_reader(
        cls, refusal: Refusal, reader: Person, recipients: Mapping[UUID, Sequence[str]], flags: ActFlags
    ) -> Self:
        state = refusal_state(refusal)
        return cls(
            id=refusal.pk,
            unit=UnitShort.of(refusal.unit),
            state=state,
            person=PersonShort.of(refusal.person),
            reason=refusal.reason,
            defects=sorted(defect.number for defect in refusal.defects.all()),
            refused_at=refusal.refused_at,
            received_at=refusal.received_at,
            copy=refusal.copy if may_see_copy(refusal, reader) else "",
            copy_sha256=refusal.copy_hash,
            second_look=None if state == RefusalState.WAITING else SecondLookAnswer.of(refusal.second_look),
            recipients=list(recipients.get(refusal.pk, ())),
            flags=ActFlagAnswer.of_act(flags, refusal.pk, reader.language),
            allowed_actions=REFUSALS.allowed_actions(state, reader.current_roles),
        )


Long = Annotated[str, Text(2000, multiline=True)]


class RefusalBody(FieldActBody):
    """A driver's refusal of a unit."""

    unit: Expected[UnitRef]
    reason: Expected[Long]
    defects: Annotated[list[Numbered], Field(max_length=40)] = []


class SecondLookBody(Body):
    """What a second qualified person found."""

    found: Long
    looked_at: Instant


class RefusalViewSet(ListMixin, ReadMixin):
    """Refusals, newest first: a driver's own; all of them for the shop and those who keep the record.

    Each with whether a second person has looked, and the driver's copy for the driver.
    """

    roles = {"list": READERS_OF_DEFECTS, "retrieve": READERS_OF_DEFECTS, "create": REFUSE}
    parser_classes: Sequence[type[BaseParser]] = (FieldJSONParser,)
    idempotency = "none"
    filterset_class = RefusalFilters
    ordering = ("-refused_at",)
    shows = RefusalAnswer
    unknown = "refusal_unknown"
    recipients: Mapping[UUID, Sequence[str]] = {}
    flags: ActFlags = {}

    def get_queryset(self) -> QuerySet[Refusal]:
        return self.visible(refusals_visible_to, Refusal)

    def prepare(self, rows: Iterable[Any], now: datetime) -> None:
        """Find out who was told of them, and what is flagged about them."""
        shown = list(rows)
        self.recipients = recipients_of(shown)
        self.flags = flags_of_acts(refusal.pk for refusal in shown)

    def answer_of(self, row: Any) -> RefusalAnswer:
        return RefusalAnswer.for_reader(row, service_request(self.request).person, self.recipients, self.flags)

    @extend_schema(request=RefusalBody, responses={201: RefusalAnswer, 200: RefusalAnswer})
    def create(self, request: ServiceRequest) -> Response:
        """Refuse a unit: it is offered to nobody until a second person has looked.

        200 with the same refusal when it is sent again, 409 for another body under its name. Kept as a walk-around is,
        and flagged, whatever differs from this description, defects that are none of the unit's included; only `id`, a
        unit on record and the signature must be there.
        """
        act = field_act(RefusalBody, request)
        unit = unit_in_body(act.body.unit or "", "/unit").pk
        defects = defects_named(act.body.defects, among=Defect.objects.filter(unit=unit))
        others = [ref for ref in act.body.defects if ref not in defects]
        _, new = refuse_unit(
            refusal_id=act.name,
            unit_id=unit,
            reason=act.body.reason or "",
            defects=list(defects.values()),
            signing=act.signing,
            actor=request.person,
            now=request.now,
            sent=act.flagged([{"code": "defect_not_of_unit", "facts": {"defect": ref}} for ref in others]),
        )
        answer = self.retrieve(request, key=act.name)
        if new:
            answer.status_code = HTTPStatus.CREATED
            answer.headers["Location"] = f"/api/v1/refusals/{act.name}"
        return answer


class SecondLookViewSet(RefusalViewSet):
    """The look by a second qualified person."""

    roles = {"second_look": REFUSALS.roles_for("second_look")}
    parser_classes = (StrictJSONParser,)
    idempotency = "required"
    tag = "refusals"

    @extend_schema(responses={201: RefusalAnswer})
    @takes(SecondLookBody)
    def second_look(self, request: ServiceRequest, body: SecondLookBody, key: UUID) -> Response:
        """Record what a second qualified person found."""
        look_again(refusal_id=key, found=body.found, looked_at=body.looked_at, actor=request.person, now=request.now)
        answer = self.retrieve(request, key=key)
        answer.status_code = HTTPStatus.CREATED
        return answer
