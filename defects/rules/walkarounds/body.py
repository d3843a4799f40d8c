"""What a phone hands in for one walk-around: the signed body itself, which the rules read. Judges nothing.

This is what is read as it was meant. What differs from it is kept and flagged, whatever stands in it.
"""

import re
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property
from typing import Annotated, Any, Self

from pydantic import AfterValidator, Field

from common.api.instants import read_instant
from common.api.signed_bodies import Expected, Said, SignedBody
from common.api.values import DecimalText, Flag, Instant, Sha256, Text, Word
from defects.enums import CheckAnswer, Form, NotReached, WalkaroundKind
from defects.rules.catalogue.observed import Conditions
from fleet.enums import Location, MeterKind, RunningMode, SignatureMethod, UnitKind

MAX_CHECKS = 400
MAX_REPORTS = 8
MAX_LEGS = 40
MAX_PHOTOS = 24
"""Far more than a combination has. What is beyond stands as a fault to be graded."""

STORED_DECIMALS = 4
"""Of a measured value: a tenth of a thousandth of an inch, finer than any gauge of the trade."""

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)")

_ANSWERS = frozenset(CheckAnswer)
_QUIET = frozenset({CheckAnswer.FINE, CheckAnswer.NOT_APPLICABLE, CheckAnswer.NOT_REACHED})


def _in_any_case(answer: str) -> str:
    folded = answer.casefold()
    return folded if folded in _ANSWERS else answer


NONE_SAID: Any = Field(default_factory=list)
"""A list that is empty where none came; a default of its own would be copied for every check."""

Photos = Annotated[list[Sha256], Field(max_length=MAX_PHOTOS)]


class CorrectionBody(SignedBody):
    """What was put right on the spot, by whom, and its photo. Where one is missing it is no correction and flagged."""

    what: Annotated[str, Text(400, may_be_blank=True)] = ""
    by: Annotated[str, Text(120, may_be_blank=True)] = ""
    photo: Sha256 = ""


class HeardBody(SignedBody):
    """A fault, and who told the driver of it where he did not find it himself (49 CFR 396.11(a)(2))."""

    heard_from: Annotated[str, Text(160, may_be_blank=True)] = Field(default="", description="empty: found by himself")
    heard_at: Instant | None = None


class CheckBody(HeardBody):
    """One answer to one point. `value` goes with `unit_of_measure`; `reason` with `not_reached`."""

    point: Annotated[str, Text(80), Said("")]
    place: Annotated[str, Text(40, may_be_blank=True)] = ""
    answer: Annotated[str, Text(20), AfterValidator(_in_any_case), Said(""), Word(CheckAnswer)]
    value: Annotated[str, Text(20, may_be_blank=True)] = Field("", description="a decimal number, as text")
    unit_of_measure: Annotated[str, Text(16, may_be_blank=True)] = ""
    finding: Annotated[str, Text(40, may_be_blank=True)] = ""
    note: Annotated[str, Text(1000, multiline=True, may_be_blank=True)] = ""
    reason: Annotated[str, Text(20, may_be_blank=True), Word(NotReached, empty=True)] = ""
    listed: Flag = Field(
        default=False, description="the driver lists it: it would affect safety, or break the vehicle down"
    )
    correction: CorrectionBody | None = None
    photos: Photos = NONE_SAID

    @property
    def unknown_answer(self) -> str:
        """The answer where it is none of those there are, else empty."""
        return "" if self.answer in _ANSWERS else self.answer

    @property
    def may_find(self) -> bool:
        """Whether something may be found by it; a value may be beyond its limit whatever the answer is."""
        return self.answer not in _QUIET or bool(self.value)

    @property
    def says_fault(self) -> bool:
        """Whether it says that something is wrong: also by an unknown answer, or by words or photos without any."""
        if self.answer:
            return self.answer == CheckAnswer.DEFECT or bool(self.unknown_answer)
        return bool(self.note or self.finding or self.photos)

    @property
    def number(self) -> Decimal | None:
        """The value as a number, or None when it is absent or unreadable; judged no finer than it is stored."""
        number = read_number(self.value) if self.value else None
        if number is None or number == round(number, STORED_DECIMALS):
            return number
        return number.quantize(Decimal(1).scaleb(-STORED_DECIMALS), ROUND_HALF_UP)


class FaultBody(HeardBody):
    """A fault that no point describes, in the driver's own words."""

    text: Annotated[str, Text(1000, multiline=True), Said("")]
    place: Annotated[str, Text(120, may_be_blank=True)] = ""
    unsafe: Flag = Field(default=True, description="the driver's own opinion")
    photos: Photos = NONE_SAID

    @property
    def words(self) -> str:
        """The fault as its defect says it, with the place where one was told."""
        return f"{self.place}: {self.text}" if self.place else self.text


class MeterBody(SignedBody):
    """One meter as shown."""

    meter: Annotated[str, Text(12), Said(""), Word(MeterKind)]
    shown: Annotated[str, Text(16), Said("")] = Field(description="miles or hours, as text")


class LookBody(SignedBody):
    """One leg of the walk that was looked at, as `/walk` lists it for this kind of walk, and when.

    It counts with its `at` within the walk, and with the `catalogue` that `/walk` gave in the walk-around; else it is
    flagged.
    """

    leg: Annotated[str, Text(40), Said("")]
    at: Annotated[str, Text(40, may_be_blank=True)] = Field("", description="with its offset, by the device's clock")

    @cached_property
    def instant(self) -> datetime | None:
        """When, naive where it is without its offset; None when it is absent or unreadable."""
        return read_instant(self.at)

    @property
    def spelled(self) -> str:
        """When, written as every instant is; what is none stays as it was written."""
        return self.at if self.instant is None else self.instant.isoformat()


class LeftBody(SignedBody):
    """Where a unit was left, and how: `site` by its code at one of ours, else the `address` in words."""

    location: Expected[Location]
    site: Annotated[str, Text(24, may_be_blank=True)] = ""
    address: Annotated[str, Text(200, may_be_blank=True)] = ""
    legs_down: Flag | None = None
    doors_closed: Flag | None = None
    mode: RunningMode | None = None
    fuel_gal: Annotated[Decimal, DecimalText(5, 1, least=0)] | None = None
    seal: Annotated[str, Text(40, may_be_blank=True)] = ""
    note: Annotated[str, Text(1000, multiline=True, may_be_blank=True)] = ""


class ReportBody(SignedBody):
    """One unit's report: a unit is named by its number, number@owner, or key.

    `looked_at`: the legs looked at, on which nothing is wrong but what the report lists. What is neither covered by a
    leg nor answered has no answer. `left`: the unit stays here, in this state, for whoever comes next.
    """

    unit: Annotated[str, Text(160), Said("")]
    checks: Annotated[list[CheckBody], Field(max_length=MAX_CHECKS)] = NONE_SAID
    faults: Annotated[list[FaultBody], Field(max_length=40)] = NONE_SAID
    meters: Annotated[list[MeterBody], Field(max_length=6)] = NONE_SAID
    looked_at: Annotated[list[LookBody], Field(max_length=MAX_LEGS)] = NONE_SAID
    left: LeftBody | None = None

    def and_also(self, other: Self) -> Self:
        """This report with all that another says behind it."""
        lists = ("checks", "faults", "meters", "looked_at")
        both: dict[str, Any] = {name: [*getattr(self, name), *getattr(other, name)] for name in lists}
        return self.model_copy(update={**both, "left": self.left or other.left})


class UnitBody(SignedBody):
    """A third-party unit met on the road; name it in a report as number@owner."""

    kind: Expected[UnitKind]
    number: Annotated[str, Text(32), Said("")]
    owner: Annotated[str, Text(120), Said("")]
    vin: Annotated[str, Text(32, may_be_blank=True)] = ""
    plate: Annotated[str, Text(16, may_be_blank=True)] = ""
    plate_state: Annotated[str, Text(16, may_be_blank=True)] = ""


class SignatureBody(SignedBody):
    """The driver's signature: `shown` is the sentence that stood above it."""

    method: Expected[SignatureMethod]
    signed_at: Expected[Instant]
    shown: Annotated[str, Text(1000, multiline=True), Said("")]
    device: Annotated[str, Text(80, may_be_blank=True)] = ""
    signer: Annotated[str, Text(64, may_be_blank=True)] = Field("", description="only to say it is the one signed in")


class ConditionsBody(SignedBody):
    """The surroundings; what is left out is not known."""

    night: Flag | None = None
    raining: Flag | None = Field(default=None, description="rain or snow")
    loaded: Flag | None = None
    cold_load: Flag | None = None
    fuel_needed_gal: Annotated[Decimal, DecimalText(6, 1, least=0)] | None = None


class WalkaroundBody(SignedBody):
    """A whole walk-around. `sent_at` is the device's clock at this sending, by which a wrong clock is put right.

    This is what is read as it was meant. What differs from it is kept and flagged all the same, whatever stands in it:
    refused is only a body that is not JSON, too large, unsigned, or signed by another. A text left empty, and null, is
    one that was not given.
    """

    kind: Annotated[WalkaroundKind, Said(WalkaroundKind.OTHER)]
    started_at: Expected[Instant]
    finished_at: Expected[Instant]
    sent_at: Instant | None = None
    catalogue: Sha256 = Field("", description="the list of checks that was walked by, as `/walk` gave it")
    form: Form | None = Field(None, description="what was walked by, as `/walk` gave it; left out, that of the kind")
    site: Annotated[str, Text(24, may_be_blank=True)] = ""
    team_mate: Annotated[str, Text(64, may_be_blank=True)] = ""
    coupled: Flag | None = None
    conditions: ConditionsBody | None = None
    units_of_others: Annotated[list[UnitBody], Field(max_length=4)] = NONE_SAID
    reports: Annotated[list[ReportBody], Field(max_length=MAX_REPORTS, json_schema_extra={"minItems": 1}), Said(())]
    signature: Expected[SignatureBody]

    @property
    def may_be_found(self) -> int:
        """How many faults it tells of, and answers by which one may be found."""
        return sum(len(report.faults) + sum(check.may_find for check in report.checks) for report in self.reports)

    @property
    def surroundings(self) -> Conditions:
        given = self.conditions or _NOT_KNOWN
        return Conditions(
            night=given.night,
            raining=given.raining,
            loaded=given.loaded,
            cold_load=given.cold_load,
            coupled=self.coupled,
            walk_kind=None if self.kind is WalkaroundKind.OTHER else self.kind,
            form=self.form,
            fuel_needed_gal=given.fuel_needed_gal,
        )


@dataclass(frozen=True, slots=True)
class Submission:
    """A walk-around as it came in. `flags` are what was read otherwise than it was sent.

    `as_sent` is then the whole text, else empty.
    """

    body: WalkaroundBody
    signature: SignatureBody
    body_hash: str
    flags: tuple[Mapping[str, object], ...] = ()
    as_sent: str = ""


_NOT_KNOWN = ConditionsBody.model_construct()


def read_number(text: str) -> Decimal | None:
    """The plain decimal that a text is, None for any other; exponents and words for numbers are none."""
    if not _NUMBER.fullmatch(text):
        return None
    return Decimal(text) or Decimal(0)  # zero has no sign


def one_for_each_unit(reports: Iterable[ReportBody], unit_of: Mapping[str, Hashable]) -> list[tuple[ReportBody, bool]]:
    """The reports with those on one unit joined into the first of them, each with whether it was.

    `unit_of` says which unit a reference names; reports on units that are not known stay apart. A unit has one report
    for a walk-around, and what a driver wrote under its name a second time is not lost.
    """
    joined: dict[Hashable, ReportBody] = {}
    doubled: set[Hashable] = set()
    for position, report in enumerate(reports):
        unit = unit_of.get(report.unit, (position,))
        first = joined.get(unit)
        if first is not None:
            doubled.add(unit)
        joined[unit] = report if first is None else first.and_also(report)
    return [(report, unit in doubled) for unit, report in joined.items()]
