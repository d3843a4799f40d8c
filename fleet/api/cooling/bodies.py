"""What is sent of a cooling unit: one reading or a thousand, with temperatures in °F or °C."""

from decimal import Decimal
from typing import Annotated

from pydantic import Field

from common.api.bodies import Body
from common.api.values import Choice, DecimalText, Flag, Instant, Text
from fleet.enums import SENT_SOURCES, RunningMode, TemperatureScale
from fleet.rules.cooling.readings import Figures
from fleet.rules.cooling.temperatures import figures_in
from fleet.services.cooling.intake import MOST_IN_A_REQUEST

Temperature = Annotated[Decimal, DecimalText(5, 1)]
Hours = Annotated[Decimal, DecimalText(8, 1, least=0)]
Gallons = Annotated[Decimal, DecimalText(5, 1, least=0)]
Mode = Annotated[str, Choice([*RunningMode, ""])]


class CoolingReadingBody(Body):
    """What a cooling unit showed at one time; what was not read is left out.

    Temperatures in tenths of a degree. `fuel_added_gal` was filled since the reading before, `fuel_gal` is what the
    tank holds after that. `alarms` names the class of each open alarm: stop, act_soon or note.
    """

    read_at: Instant
    mode: Mode = ""
    defrost: Flag = False
    setpoint: Temperature | None = None
    return_air: Temperature | None = None
    supply_air: Temperature | None = None
    box: Temperature | None = None
    product: Temperature | None = None
    ambient: Temperature | None = None
    engine_h: Hours | None = None
    standby_h: Hours | None = None
    fuel_gal: Gallons | None = None
    fuel_added_gal: Gallons | None = None
    alarms: Annotated[list[Annotated[str, Text(20)]], Field(max_length=20)] = []

    def figures_in(self, scale: TemperatureScale) -> Figures:
        """Return the reading with its temperatures in °F."""
        given = dict(self)
        alarms = tuple(given.pop("alarms"))
        said = {name: given.pop(name) for name in ("read_at", "mode", "defrost")}
        return figures_in(scale, given, alarms=alarms, **said)


class CoolingReadingsBody(Body):
    """Readings of one unit from one source; a walk-around brings its own."""

    source: Annotated[str, Choice(SENT_SOURCES)]
    unit_of_measure: TemperatureScale
    readings: Annotated[list[CoolingReadingBody], Field(min_length=1, max_length=MOST_IN_A_REQUEST)]

    @property
    def figures(self) -> list[Figures]:
        """Each reading with its temperatures in °F."""
        return [reading.figures_in(self.unit_of_measure) for reading in self.readings]
