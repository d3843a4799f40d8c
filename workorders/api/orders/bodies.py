"""Bodies by which a repair order is opened and moved."""

from typing import Annotated

from pydantic import Field

from common.api.bodies import ABSENT, Body
from common.api.values import Instant, Numbered, Text, Uuid
from fleet.api.units.short import UnitRef
from fleet.enums import Scope
from workorders.enums import WaitingFor
from workorders.services.orders.opening import Job

Reason = Annotated[str, Text(1000, multiline=True)]


class JobBody(Body):
    """A piece of work that no defect asks for."""

    complaint: Annotated[str, Text(2000, multiline=True)]
    scope: Scope = ABSENT


class OpenBody(Body):
    """Open defects of one unit, other jobs on it, or both."""

    unit: UnitRef
    defects: Annotated[list[Numbered], Field(max_length=100)] = []
    jobs: Annotated[list[JobBody], Field(max_length=100)] = []

    @property
    def given_jobs(self) -> list[Job]:
        """The jobs as the services take them."""
        return [Job(job.complaint, job.scope or "") for job in self.jobs]


class AssignBody(Body):
    """Who answers for the order; with a site's code, the order moves to that shop."""

    assigned_to: Uuid
    site: Annotated[str, Text(24)] = ABSENT


class WaitBody(Body):
    """What the work waits for."""

    waiting_for: WaitingFor
    reason: Reason = ""


class ExpectedBody(Body):
    """When it is expected to be done."""

    expected_at: Instant
    reason: Reason = ""
