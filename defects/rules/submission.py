"""What a phone hands in for one walk-around, as frozen values. Nothing here is judged; texts are as given."""

from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal, InvalidOperation

from defects.rules.facts import Conditions


@dataclass(frozen=True, slots=True)
class GivenCheck:
    """One answer as given. `value` is text, because a signed report with an unreadable value is kept and queried."""

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
    photos: tuple[str, ...] = ()

    @property
    def number(self) -> Decimal | None:
        """The value as a finite number, or None when it is absent or unreadable."""
        try:
            number = Decimal(self.value)
        except InvalidOperation:
            return None
        return number if number.is_finite() else None


@dataclass(frozen=True, slots=True)
class GivenFault:
    """A fault without a point, in the driver's words. `unsafe` is the driver's own opinion."""

    text: str
    place: str = ""
    unsafe: bool = True
    photos: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GivenMeter:
    """One meter as shown, in miles or hours."""

    meter: str
    shown: str


@dataclass(frozen=True, slots=True)
class GivenReport:
    """One unit's report as given. `unit` is a key, a number of our own, or number@owner."""

    unit: str
    checks: tuple[GivenCheck, ...] = ()
    faults: tuple[GivenFault, ...] = ()
    meters: tuple[GivenMeter, ...] = ()


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
    """A whole walk-around as given. Times carry the device's offset; `sent_at` is the device's clock when sending."""

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
