"""What one reading of a cooling unit says, and what is odd about it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal

from fleet.enums import AlarmClass, ReadingFlag, RunningMode, TemperatureScale

_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """One reading: temperatures in °F, hours as the meters show them, gallons. None is what was not read.

    `given_in` is the scale that the temperatures were read in; `alarms` are classes, as they came.
    `fuel_added_gal` was filled since the reading before; `fuel_gal` is what the tank holds after that.
    """

    at: datetime
    mode: str = ""
    defrost: bool = False
    setpoint_f: Decimal | None = None
    return_air_f: Decimal | None = None
    supply_air_f: Decimal | None = None
    box_f: Decimal | None = None
    product_f: Decimal | None = None
    ambient_f: Decimal | None = None
    engine_h: Decimal | None = None
    standby_h: Decimal | None = None
    fuel_gal: Decimal | None = None
    fuel_added_gal: Decimal | None = None
    alarms: tuple[str, ...] = ()
    given_in: str = TemperatureScale.FAHRENHEIT

    @property
    def air_f(self) -> Decimal | None:
        """The air in the box: the box's own sensor, or else the return air."""
        return self.return_air_f if self.box_f is None else self.box_f

    @property
    def runs(self) -> bool:
        """Whether it cools: neither off, nor defrosting, nor unknown."""
        return self.mode not in {"", RunningMode.OFF} and not self.defrost

    def says_the_same_as(self, other: "Figures") -> bool:
        """Whether both say the same, in whichever scale each was given."""
        return replace(self, given_in=other.given_in) == other


COLUMNS = tuple(Figures.__dataclass_fields__)
"""What a reading says, by the names of `Figures`, the time first."""

_COLD, _AIR = (Decimal(-40), Decimal(90)), (Decimal(-60), Decimal(160))
_HOURS = (Decimal(0), Decimal(200_000))
_TANK = (Decimal(0), Decimal(150))

PLAUSIBLE: Mapping[str, tuple[Decimal, Decimal]] = {
    "setpoint_f": _COLD,
    "return_air_f": _AIR,
    "supply_air_f": _AIR,
    "box_f": _AIR,
    "product_f": _AIR,
    "ambient_f": _AIR,
    "engine_h": _HOURS,
    "standby_h": _HOURS,
    "fuel_gal": _TANK,
    "fuel_added_gal": _TANK,
}
"""The least and the most that a figure can be, both included; our own. Tanks of 25 to 120 gallons are seen."""


@dataclass(frozen=True, slots=True)
class Implausible:
    """A figure that no cooling unit shows, with the range."""

    name: str
    least: Decimal
    most: Decimal


def implausible(figures: Figures) -> Iterator[Implausible]:
    """The figures outside their ranges."""
    for name, (least, most) in PLAUSIBLE.items():
        value = getattr(figures, name)
        if value is not None and not least <= value <= most:
            yield Implausible(name, least, most)


TEACHES_NOTHING = frozenset({ReadingFlag.IMPLAUSIBLE, ReadingFlag.FUTURE})
"""What is odd in such a way that nothing is learned from the reading."""


def flag_of(figures: Figures, now: datetime) -> ReadingFlag | None:
    """What is odd about a reading, None for nothing."""
    if figures.at > now:
        return ReadingFlag.FUTURE
    if any(implausible(figures)):
        return ReadingFlag.IMPLAUSIBLE
    return None if set(figures.alarms) <= set(AlarmClass) else ReadingFlag.ALARM_CLASS_UNKNOWN


def hours_between(earlier: datetime, later: datetime) -> float:
    """Hours from one instant to another."""
    return (later - earlier) / _HOUR


def runs_of(series: Sequence[Figures], *, longest_gap: timedelta) -> Iterator[list[Figures]]:
    """The readings in runs of the same kind (cooling, off, or else), no two neighbours further apart than the gap."""
    run: list[Figures] = []
    for figures in series:
        if run and (_kind(figures) != _kind(run[-1]) or figures.at - run[-1].at > longest_gap):
            yield run
            run = []
        run.append(figures)
    if run:
        yield run


def _kind(figures: Figures) -> str:
    return "cools" if figures.runs else figures.mode if figures.mode == RunningMode.OFF else "else"
