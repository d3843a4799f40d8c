"""Rehearsing an audit over HTTP: units pulled at random and what an auditor would find in their files."""

import secrets
from collections.abc import Sequence
from datetime import date

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from pydantic import Field
from rest_framework.response import Response

from common import messages
from common.api.answers import Answer
from common.errors import FieldProblem, Unreadable
from common.messages import Message, current_language
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.roles import READERS_OF_FILES
from fleet.api.requests.views import ServiceView
from fleet.api.units.short import UnitShort
from fleet.models import Unit
from fleet.rules.records.rehearsal import Gap
from fleet.selectors.records.rehearsals import rehearse

DEFAULT_UNITS, MOST_UNITS = 5, 50
MOST_SEED = 2**31 - 1
PARAMETERS = {
    "units": (1, MOST_UNITS, f"How many units are pulled, {DEFAULT_UNITS} without it."),
    "seed": (0, MOST_SEED, "Pulls the same units again; drawn and told without it."),
}


class GapAnswer(Answer):
    """One gap: its sentence, the rule's section, and where to look."""

    code: str
    says: str
    section: str
    link: str


class PulledAnswer(Answer):
    """One unit that was pulled."""

    unit: UnitShort
    file: str = Field(description="Where its file is.")
    gaps: list[GapAnswer]
    not_shown: list[GapAnswer] = Field(
        description="What the service cannot show; the documents themselves have to be at hand."
    )


class RehearsalAnswer(Answer):
    """The pulls in their order. The same seed pulls the same units again."""

    seed: int
    day: date
    gaps: int = Field(description="How many there are in all.")
    pulled: list[PulledAnswer]


class RehearsalView(ServiceView):
    """An audit rehearsal, computed when it is asked for."""

    roles = {"get": READERS_OF_FILES}
    query_parameters = {"get": frozenset(PARAMETERS)}
    shows = RehearsalAnswer

    @extend_schema(
        parameters=[OpenApiParameter(name, OpenApiTypes.INT, description=text[2]) for name, text in PARAMETERS.items()]
    )
    def get(self, request: ServiceRequest) -> Response:
        """Pull units of every kind at random and list the gaps in their files, by rule.

        Nothing is stored.
        """
        count, seed = (_whole(request, name) for name in PARAMETERS)
        drawn = secrets.randbelow(MOST_SEED) if seed is None else seed
        found = rehearse(count=count or DEFAULT_UNITS, seed=drawn, now=request.now)
        return Response(
            RehearsalAnswer(
                seed=found.seed,
                day=found.today,
                gaps=sum(gap.shown for _, gaps in found.pulled for gap in gaps),
                pulled=[_pulled(unit, gaps) for unit, gaps in found.pulled],
            )
        )


def _pulled(unit: Unit, gaps: Sequence[Gap]) -> PulledAnswer:
    said = [
        (gap.shown, GapAnswer.of(gap, says=messages.render(Message(gap.code, gap.facts), current_language())))
        for gap in gaps
    ]
    return PulledAnswer(
        unit=UnitShort.of(unit),
        file=f"/api/v1/units/{unit.pk}/file",
        gaps=[body for shown, body in said if shown],
        not_shown=[body for shown, body in said if not shown],
    )


def _whole(request: ServiceRequest, name: str) -> int | None:
    least, most, _ = PARAMETERS[name]
    given = request.query_params.get(name)
    if given is None:
        return None
    if not (given.isascii() and given.isdigit() and len(given) <= len(str(most)) and least <= int(given) <= most):
        raise Unreadable("invalid_parameter", problems=[FieldProblem("", "not_whole", parameter=name)])
    return int(given)
