"""What a cooling unit burns, learned from its tank and its engine hours; how long a tank lasts; fuel that is gone."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import sqrt

from common.prediction import t_95
from fleet.rules.cooling.readings import Figures

SHORTEST_H = 4.0
"""Our own: over fewer engine hours a gauge says little."""

FEWEST = 5
"""Our own: with fewer stretches the spread is anybody's guess."""

GAUGE_GAL = 2.0
"""Our own: what a gauge may be off by."""

LOST_FOR = timedelta(days=3)
"""Our own: how long fuel that is gone is told after the reading that showed it."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Engine hours run from one reading to another, and the gallons gone meanwhile, fills counted."""

    since: datetime
    until: datetime
    hours: float
    gallons: float


@dataclass(frozen=True, slots=True)
class Burn:
    """Gallons an engine hour, learned from `stretches` over `hours`; `spread` is t · s, in gallons for one hour.

    Weighted least squares through the origin: what is burned varies by the root of the hours.
    """

    gal_per_h: float
    spread: float
    hours: float
    stretches: int

    def most(self, hours: float) -> float:
        """The gallons that so many hours burn at most, by the upper 95 % prediction bound."""
        return self.gal_per_h * hours + self.spread * sqrt(hours + hours * hours / self.hours)

    def lasts(self, gallons: float) -> float:
        """The hours that so many gallons last at least: where `most` meets them."""
        if self.gal_per_h <= 0 or gallons <= 0:
            return 0.0
        low, high = 0.0, gallons / self.gal_per_h
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if self.most(middle) <= gallons else (low, middle)
        return low


@dataclass(frozen=True, slots=True)
class Lost:
    """Gallons gone between two readings beyond what the hours between them explain.

    `gone` of them were there before, in `hours` of the engine; the rest is the most that these burn (95 %) and what the
    gauge may be off by.
    """

    since: datetime
    until: datetime
    gallons: float
    gone: float
    hours: float

    def is_recent_at(self, now: datetime) -> bool:
        """Whether it was seen so lately that people are to know of it."""
        return self.until >= now - LOST_FOR

    @property
    def facts(self) -> dict[str, str | datetime]:
        """What the sentences on it say, gallons and hours to the tenth."""
        return {
            "lost_gal": _tenth(self.gallons),
            "gone_gal": _tenth(self.gone),
            "explained_gal": _tenth(self.gone - self.gallons),
            "engine_h": _tenth(self.hours),
            "since_at": self.since,
            "until_at": self.until,
        }


@dataclass(frozen=True, slots=True)
class Fuel:
    """What a series says: the burn, or None with too few readings, and the fuel that went otherwise."""

    burn: Burn | None
    lost: tuple[Lost, ...]


def burn_of(stretches: Sequence[Stretch]) -> Burn | None:
    """The burn that stretches show; None with fewer than five, or where nothing was burned."""
    hours, gallons = sum(each.hours for each in stretches), sum(each.gallons for each in stretches)
    if len(stretches) < FEWEST or gallons <= 0:
        return None
    rate = gallons / hours
    squares = sum((each.gallons - rate * each.hours) ** 2 / each.hours for each in stretches)
    degrees = len(stretches) - 1
    return Burn(rate, t_95(degrees) * sqrt(squares / degrees), hours, len(stretches))


def fuel_of(series: Sequence[Figures]) -> Fuel:
    """Learn the burn from readings in the order of time; what goes far beyond it is lost, and teaches nothing."""
    stretches: list[Stretch] = []
    lost: list[Lost] = []
    anchor: Stretch | None = None
    burn: Burn | None = None
    for step in _steps(series):
        if step is None:
            anchor = None
            continue
        gone = _lost(step, burn)
        if gone is not None:
            lost.append(gone)
            anchor = None
            continue
        anchor = step if anchor is None else _joined(anchor, step)
        if anchor.hours < SHORTEST_H:
            continue
        gone = _lost(anchor, burn)
        if gone is None:
            stretches.append(anchor)
            burn = burn_of(stretches)
        else:
            lost.append(gone)
        anchor = None
    return Fuel(burn, tuple(lost))


def _steps(series: Sequence[Figures]) -> Iterator[Stretch | None]:
    """From each reading of tank and hours to the next; None where they cannot be compared.

    More in the tank than before without a fill on record is a fill that nobody wrote down; fewer hours, another meter.
    """
    before: tuple[datetime, float, float] | None = None
    added = 0.0
    for figures in series:
        added += float(figures.fuel_added_gal or 0)
        if figures.fuel_gal is None or figures.engine_h is None:
            continue
        now = (figures.at, float(figures.engine_h), float(figures.fuel_gal))
        if before is not None:
            step = Stretch(before[0], now[0], now[1] - before[1], before[2] + added - now[2])
            yield None if step.hours < 0 or step.gallons < -GAUGE_GAL else step
        before, added = now, 0.0


def _joined(first: Stretch, then: Stretch) -> Stretch:
    return Stretch(first.since, then.until, first.hours + then.hours, first.gallons + then.gallons)


def _lost(stretch: Stretch, burn: Burn | None) -> Lost | None:
    if burn is None:
        return None
    beyond = stretch.gallons - burn.most(stretch.hours) - GAUGE_GAL
    if beyond <= 0:
        return None
    return Lost(stretch.since, stretch.until, beyond, stretch.gallons, stretch.hours)


def _tenth(value: float) -> str:
    return f"{value:.1f}"
