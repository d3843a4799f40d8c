"""Loads as a desk writes them down, and as they are moved at the dock."""

from decimal import Decimal
from typing import Annotated

from pydantic import Field

from common.api.bodies import ABSENT, Body
from common.api.values import Choice, Day, DecimalText, Flag, Instant, Text, Whole
from common.canonical import plain
from defects.enums import TemperatureClass
from fleet.api.units.short import UnitRef
from fleet.enums import COOLING_MODES

Temperature = Annotated[Decimal, DecimalText(5, 1)]
"""Degrees Fahrenheit."""
Line = Annotated[str, Text(120, may_be_blank=True)]
Reason = Annotated[str, Text(400, multiline=True)]


MOST_PERMITTED_LB = 500_000
"""Pounds that no permit of a truck allows: our own figure."""
PermittedPounds = Annotated[int, Whole(least=1, most=MOST_PERMITTED_LB)] | None


class OverweightPermitBody(Body):
    """A State's permit to weigh more than the limits; a weight that is left out it does not raise."""

    number: Annotated[str, Text(40)]
    us_state: Annotated[str, Text(2)]
    starts_on: Day
    ends_on: Day = Field(description="its last day")
    axle_lb: PermittedPounds = Field(default=None, description="of a single axle")
    tandem_lb: PermittedPounds = None
    group_lb: PermittedPounds = Field(default=None, description="of more axles than a tandem, together")
    gross_lb: PermittedPounds = None


class LoadBody(Body):
    """What is to be carried, as the shipper ordered it in writing."""

    number: Annotated[str, Text(40)] = Field(description="letters, digits, points, hyphens and underscores")
    temperature_class: TemperatureClass
    food: Flag = ABSENT
    setpoint_f: Temperature | None = Field(default=None, description="needed unless dry")
    lowest_f: Temperature | None = None
    highest_f: Temperature | None = None
    mode: Annotated[str, Choice([*COOLING_MODES, ""])] = ""
    weight_lb: Annotated[int, Whole(least=1)] | None = Field(default=None, description="of the freight")
    product_f: Temperature | None = Field(default=None, description="the product's own, as it was loaded")
    doors_opened_at: Instant | None = Field(default=None, description="for loading")
    doors_closed_at: Instant | None = None
    seal: Annotated[str, Text(40, may_be_blank=True)] = ""
    pre_loaded: Flag = Field(default=ABSENT, description="the shipper fills the trailer before our driver comes")
    last_cargo: Line = ""
    washout: Line = ""
    us_states: Annotated[list[Annotated[str, Text(2)]], Field(max_length=60)] = Field(
        default=[], description="States crossed, two letters each"
    )
    overweight_permits: Annotated[list[OverweightPermitBody], Field(max_length=60)] = Field(
        default=[], description="by which the load with its units may weigh more; one for each State crossed"
    )

    def facts(self) -> dict[str, object]:
        """Return what was sent, its permits as they are stored."""
        sent = self.changes()
        if "overweight_permits" in sent:
            sent["overweight_permits"] = [plain(permit.model_dump()) for permit in sent["overweight_permits"] or ()]
        return sent


class LoadChange(LoadBody, partial=True):
    """What changes of a load."""


class BoxCheckBody(Body):
    """Which trailer's box was checked; now when no instant is given."""

    trailer: UnitRef
    checked_at: Instant = ABSENT


class PutBody(Body):
    """Into which trailer; now when no instant is given. What the dock measured stands on the load."""

    trailer: UnitRef
    loaded_at: Instant = ABSENT
    product_f: Temperature = Field(default=ABSENT, description="the product's own, as it was loaded")
    doors_opened_at: Instant = ABSENT
    doors_closed_at: Instant = ABSENT

    @property
    def measured(self) -> dict[str, object]:
        """Return what was sent of the product's temperature and the doors."""
        return {name: value for name, value in self.changes().items() if name not in {"trailer", "loaded_at"}}


class TransloadBody(Body):
    """Into which other trailer; now when no instant is given."""

    trailer: UnitRef
    transloaded_at: Instant = ABSENT


class SealBody(Body):
    """The seal as it reads on the doors; now when no instant is given."""

    seal: Annotated[str, Text(40)]
    compared_at: Instant = ABSENT


class SealDecisionBody(Body):
    """What becomes of a load whose seal is not the one on the papers."""

    decision: Reason


class DeliverBody(Body):
    """Now when no instant is given."""

    delivered_at: Instant = ABSENT


class CancelLoadBody(Body):
    """Why it is called off."""

    reason: Reason
