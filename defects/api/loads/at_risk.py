"""Loads at risk: reading them, writing them up, and signing what becomes of the food."""

from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any, Self
from uuid import UUID

from django.db.models import Q, QuerySet
from django.utils.translation import get_language
from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.response import Response

from common import messages
from common.api.answers import Answer, InUtc
from common.api.bodies import ABSENT, Body
from common.api.filter_kinds import REFERENCE, OpenFilter, ReadFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Instant, Text, Word
from common.api.views import expected_version, takes
from common.messages import of_stored
from defects.api.loads.bodies import Temperature
from defects.api.records import OwnSignature
from defects.enums import RiskCause, RiskEntryKind, RiskState, TemperatureClass
from defects.models import LoadAtRisk
from defects.selectors.defects.naming import language_of, names_of_defect
from defects.selectors.loads.loads import load_key
from defects.selectors.loads.loads_at_risk import load_at_risk, risk_rows
from defects.services.loads.loads_at_risk import Note, dispose, enter
from defects.transitions import LOADS_AT_RISK
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.short import UnitShort

Long = Annotated[str, Text(2000, multiline=True)]


class EntryBody(Body):
    """A reading has a temperature, a call and a decision have words; now when no instant is given."""

    kind: RiskEntryKind
    at: Instant = ABSENT
    text: Long = ""
    return_air_f: Temperature = Field(default=ABSENT, description="air that returns to the cooling unit")
    product_f: Temperature = Field(default=ABSENT, description="inside the product")

    def note(self, now: datetime) -> Note:
        return Note(self.kind, self.at or now, self.text, self.return_air_f, self.product_f)


class DisposeBody(Body):
    """What becomes of the food, signed by a person qualified to decide it."""

    disposition: Long
    signature: OwnSignature


class EntryAnswer(Answer):
    """One entry, as it was written."""

    id: UUID
    kind: Annotated[str, Word(RiskEntryKind)]
    at: InUtc
    person: PersonShort
    text: str
    return_air_f: Decimal | None
    product_f: Decimal | None
    recorded_at: datetime


class LoadAtRiskAnswer(Answer):
    """One load at risk with its entries, oldest first."""

    id: UUID
    state: Annotated[str, Word(RiskState)]
    trailer: UnitShort
    load: str
    temperature_class: Annotated[str, Word(TemperatureClass)]
    setpoint_f: Decimal | None
    cause: Annotated[str, Word(RiskCause)] = Field(description="the newest that is no fault, or else a fault")
    says: str = Field(description="that cause in words: the fault, or the temperature and what was ordered")
    defect: int | None = Field(description="number of the fault that opened it, where one did")
    fault_on: UnitShort | None
    opened_at: datetime
    opened_by: PersonShort
    entries: list[EntryAnswer]
    disposition: str
    disposed_by: PersonShort | None
    closed_at: datetime | None
    version: int
    allowed_actions: list[str]

    @classmethod
    def for_roles(cls, risk: LoadAtRisk, roles: frozenset[str]) -> Self:
        """Return a load at risk with what somebody of these roles may do with it now."""
        return cls.of(
            risk,
            load=risk.load.number,
            temperature_class=risk.load.temperature_class,
            setpoint_f=risk.load.setpoint_f,
            says=_says(risk),
            defect=None if risk.defect is None else risk.defect.number,
            fault_on=None if risk.defect is None else risk.defect.unit,
            entries=list(risk.entries.all()),
            allowed_actions=LOADS_AT_RISK.allowed_actions(risk.state, roles),
        )


def _says(risk: LoadAtRisk) -> str:
    language = get_language() or "en"
    if risk.cause == RiskCause.DEFECT and risk.defect is not None:
        return names_of_defect(risk.defect)[language_of(language)]
    return messages.render(of_stored("at_risk", risk.cause, risk.facts), language)


class LoadAtRiskFilters(StrictFilterSet):
    """Whether open, by trailer and load, and when."""

    open = OpenFilter(Q(closed_at__isnull=True))
    trailer = UnitRefFilter("trailer")
    load = ReadFilter("load", read=load_key, described=REFERENCE)
    since, until = within("opened_at")


class LoadAtRiskViewSet(ListMixin, ReadMixin):
    """Loads at risk, newest first.

    Entries are facts of the road and need no If-Match; the disposition does.
    """

    roles = {
        "list": READERS_OF_DEFECTS,
        "retrieve": READERS_OF_DEFECTS,
        "enter": LOADS_AT_RISK.roles_for("add_reading", "add_call", "add_decision"),
        "dispose": LOADS_AT_RISK.roles_for("dispose"),
    }
    if_match = frozenset({"dispose"})
    filterset_class = LoadAtRiskFilters
    ordering = ("-opened_at",)
    shows = LoadAtRiskAnswer
    tag = "loads-at-risk"

    def get_queryset(self) -> QuerySet[LoadAtRisk]:
        return risk_rows()

    def one(self, name: UUID) -> LoadAtRisk:
        return load_at_risk(name)

    def answer_of(self, row: Any) -> LoadAtRiskAnswer:
        return LoadAtRiskAnswer.for_roles(row, self.caller_roles)

    @extend_schema(responses={201: LoadAtRiskAnswer})
    @takes(EntryBody)
    def enter(self, request: ServiceRequest, body: EntryBody, key: UUID) -> Response:
        """Write down a reading, a call or a decision."""
        enter(risk_id=key, note=body.note(request.now), actor=request.person, now=request.now)
        return self.created(self.one(key), request.path.removesuffix("/entries"))

    @takes(DisposeBody)
    def dispose(self, request: ServiceRequest, body: DisposeBody, key: UUID) -> Response:
        """Sign what becomes of the food; that closes the record."""
        dispose(
            risk_id=key,
            version=expected_version(request),
            disposition=body.disposition,
            signing=body.signature.signing(request.person),
            actor=request.person,
            now=request.now,
        )
        return self.shown(self.one(key))
