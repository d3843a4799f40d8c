"""What a phone hands in for one walk-around, as frozen values. Nothing here is judged; texts are as given."""

import re
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from defects.rules.catalogue.facts import Conditions

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)")

STORED_DECIMALS = 4
"""Of a measured value: a tenth of a thousandth of an inch, finer than any gauge of the trade."""


@dataclass(frozen=True, slots=True)
class GivenCheck:
    """One answer as given. `value` is text, because a signed report with an unreadable value is kept and queried.

    `listed`: the driver wants the finding on the certified list, whatever the catalogue says.
    """

    point: str
    answer: str
    place: str = ""
    value: str = ""
    unit_of_measure: str = ""
    finding: str = ""
    note: str = ""
    reason: str = ""
    corrected_what: str = ""
    corrected_by: str = ""
    corrected_photo: str = ""
    listed: bool = False
    photos: tuple[str, ...] = ()

    @property
    def number(self) -> Decimal | None:
        """The value as a number, or None when it is absent or unreadable; judged no finer than it is stored."""
        number = read_number(self.value)
        if number is None or number == round(number, STORED_DECIMALS):
            return number
        return number.quantize(Decimal(1).scaleb(-STORED_DECIMALS), ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class GivenFault:
    """A fault without a point, in the driver's words. `unsafe` is the driver's own opinion."""

    text: str
    place: str = ""
    unsafe: bool = True
    photos: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """The fault as its defect says it, with the place where one was told."""
        return f"{self.place}: {self.text}" if self.place else self.text


@dataclass(frozen=True, slots=True)
class GivenMeter:
    """One meter as shown, in miles or hours."""

    meter: str
    shown: str


@dataclass(frozen=True, slots=True)
class GivenLook:
    """One leg of the walk that the driver signs for having looked at, and when by the device's clock, as text."""

    leg: str
    at: str = ""

    @property
    def instant(self) -> datetime | None:
        """When, or None when it is absent, unreadable or without its offset."""
        try:
            at = datetime.fromisoformat(self.at)
        except ValueError:
            return None
        return None if at.utcoffset() is None else at


@dataclass(frozen=True, slots=True)
class GivenReport:
    """One unit's report as given. `unit` is a key, a number of our own, or number@owner."""

    unit: str
    checks: tuple[GivenCheck, ...] = ()
    faults: tuple[GivenFault, ...] = ()
    meters: tuple[GivenMeter, ...] = ()
    looked_at: tuple[GivenLook, ...] = ()

    def and_also(self, other: "GivenReport") -> "GivenReport":
        """This report with all that another says behind it."""
        return replace(
            self,
            checks=self.checks + other.checks,
            faults=self.faults + other.faults,
            meters=self.meters + other.meters,
            looked_at=self.looked_at + other.looked_at,
        )


@dataclass(frozen=True, slots=True)
class GivenUnit:
    """A unit of others met on the road, added with the walk-around that found it."""

    kind: str
    number: str
    owner: str
    vin: str = ""
    plate: str = ""
    plate_state: str = ""


@dataclass(frozen=True, slots=True)
class GivenSignature:
    """The driver's signature: how, when by the device's clock, and the sentence that was shown."""

    method: str
    signed_at: datetime
    shown: str
    device: str = ""
    signer: str = ""


@dataclass(frozen=True, slots=True)
class Submission:
    """A whole walk-around as given. Times carry the device's offset; `sent_at` is the device's clock when sending.

    `queries` are what was read otherwise than it was sent, and `as_sent` is then the whole text, else empty. Where no
    time was given at which it was finished, `finished_at` is the nearest thing to it, and not known.
    """

    kind: str
    started_at: datetime
    finished_at: datetime
    signature: GivenSignature
    reports: tuple[GivenReport, ...]
    body_hash: str
    sent_at: datetime | None = None
    catalogue: str = ""
    site: str = ""
    team_mate: str = ""
    coupled: bool | None = None
    conditions: Conditions = field(default_factory=Conditions)
    units_of_others: tuple[GivenUnit, ...] = ()
    time_given: bool = True
    queries: tuple[Mapping[str, object], ...] = ()
    as_sent: str = ""


def read_number(text: str) -> Decimal | None:
    """The plain decimal that a text is, None for any other; exponents and words for numbers are none."""
    if not _NUMBER.fullmatch(text):
        return None
    return Decimal(text) or Decimal(0)  # zero has no sign


def one_for_each_unit(
    reports: Iterable[GivenReport], unit_of: Mapping[str, Hashable]
) -> list[tuple[GivenReport, bool]]:
    """The reports with those on one unit joined into the first of them, each with whether it was.

    `unit_of` says which unit a reference names; reports on units that are not known stay apart. A unit has one report
    for a walk-around, and what a driver wrote under its name a second time is not lost.
    """
    joined: dict[Hashable, GivenReport] = {}
    doubled: set[Hashable] = set()
    for position, report in enumerate(reports):
        unit = unit_of.get(report.unit, (position,))
        first = joined.get(unit)
        if first is not None:
            doubled.add(unit)
        joined[unit] = report if first is None else first.and_also(report)
    return [(report, unit in doubled) for unit, report in joined.items()]
