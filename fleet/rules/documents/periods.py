"""How long a document runs: one rule for each way that law or custom ends one. Holds no kind and no clock."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, StrictBool, StrictInt
from pydantic_core import PydanticCustomError

from common.data_files import CLOSED
from common.days import add_months, end_of_month, last_day_of_months
from fleet.rules.documents.filings import next_biennial_update, use_tax_due, use_tax_year_end

LATEST_END = date(2199, 12, 31)
"""Our own default: a document said to run longer is one without an end, and no month can be counted from year 9999."""


_NO_LEAP_YEAR = 2023


class Reading(StrEnum):
    """How the end of a period counted in months is read: to the day, or to the end of the month it ends in."""

    BY_DAY = "by_day"
    BY_MONTH_END = "by_month_end"


class PeriodRefused(ValueError):
    """The facts given cannot make a period. `code` says the rule, `field` names the fact of `PeriodFacts`."""

    def __init__(self, code: str, field: str) -> None:
        super().__init__(f"{field}: {code}")
        self.code = code
        self.field = field


@dataclass(frozen=True, slots=True)
class PeriodFacts:
    """What a document says of its own period. `starts_on` is its first day, or the day of inspection, use or filing."""

    starts_on: date | None = None
    ends_on: date | None = None
    permanent: bool = False
    under_state_program: bool = False
    usdot_number: str = ""
    model_year: int | None = None


@dataclass(frozen=True, slots=True)
class PeriodEnd:
    """Where a period ends; every day is a last day, included. All empty: it has no end.

    `by_month_end` is the second reading where there is one; `month_end_is_the_rule` when the law itself reads so.
    `grace_until` is the last day on which the ended document is still honoured. `act_by` is the day to act by where it
    is neither of these.
    """

    by_day: date | None = None
    by_month_end: date | None = None
    month_end_is_the_rule: bool = False
    grace_until: date | None = None
    act_by: date | None = None

    def last_day(self, reading: Reading = Reading.BY_DAY) -> date | None:
        """The last day on which the document serves under the carrier's reading; None without an end."""
        if self.grace_until is not None:
            return self.grace_until
        if self.by_month_end is not None and (self.month_end_is_the_rule or reading is Reading.BY_MONTH_END):
            return self.by_month_end
        return self.by_day

    def reminder_day(self, reading: Reading = Reading.BY_DAY) -> date | None:
        """The day that reminders count down to: the document's own end, not the end of a grace."""
        if self.act_by is not None:
            return self.act_by
        return self.by_day if self.grace_until is not None else self.last_day(reading)


def _month_and_day(written: object) -> object:
    """A day of every year, written like 03-01."""
    if not isinstance(written, str):
        return written
    try:
        day = date.fromisoformat(f"{_NO_LEAP_YEAR}-{written}")
    except ValueError as fault:
        raise PydanticCustomError("month_and_day", "must be a month and a day, like 03-01") from fault
    return day.month, day.day


@dataclass(frozen=True, slots=True)
class ExplicitDate:
    """The end is printed on the document; where `may_be_permanent`, it may have none."""

    __pydantic_config__ = CLOSED

    may_be_permanent: StrictBool = False
    name: Annotated[Literal["explicit_date"], Field(validation_alias="rule")] = "explicit_date"

    def end(self, facts: PeriodFacts) -> PeriodEnd:
        """The printed end. Refuses: none given, one before the start, a permanent document where there is none."""
        if facts.permanent:
            return _permanent(facts, allowed=self.may_be_permanent)
        if facts.ends_on is None:
            raise PeriodRefused("required", "ends_on")
        if facts.starts_on is not None and facts.ends_on < facts.starts_on:
            raise PeriodRefused("ends_before_start", "ends_on")
        if facts.ends_on > LATEST_END:
            raise PeriodRefused("ends_too_late", "ends_on")
        return PeriodEnd(by_day=facts.ends_on)


@dataclass(frozen=True, slots=True)
class MonthsFromStart:
    """So many months from the start, which counts itself: 14 March and 12 months end on 13 March.

    Both readings are given. A month-end reading counts from the last day of the starting month (396.17(f)); it is the
    rule for a State program and otherwise everyday practice only. A start on 29 February ends on 28 February.
    """

    __pydantic_config__ = CLOSED

    months: Annotated[StrictInt, Field(ge=1)]
    name: Annotated[Literal["months_from_start"], Field(validation_alias="rule")] = "months_from_start"

    def end(self, facts: PeriodFacts) -> PeriodEnd:
        """Both ends. Refuses: no start, a permanent document, an end given by hand that is neither."""
        _never_permanent(facts)
        start = _required_start(facts)
        by_day = last_day_of_months(start, self.months)
        by_month_end = end_of_month(add_months(start, self.months))
        if facts.ends_on not in (None, by_day, by_month_end):
            raise PeriodRefused("end_is_computed", "ends_on")
        return PeriodEnd(by_day, by_month_end, month_end_is_the_rule=facts.under_state_program)


@dataclass(frozen=True, slots=True)
class CalendarYear:
    """The calendar year of its first day. `aboard_by`, (month, day) of the next year, ends a grace the day before."""

    __pydantic_config__ = CLOSED

    aboard_by: Annotated[tuple[int, int] | None, BeforeValidator(_month_and_day)] = None
    name: Annotated[Literal["calendar_year"], Field(validation_alias="rule")] = "calendar_year"

    def end(self, facts: PeriodFacts) -> PeriodEnd:
        """31 December, and the grace. Refuses: no start, a permanent document, another end given by hand."""
        _never_permanent(facts)
        start = _required_start(facts)
        end = date(start.year, 12, 31)
        _only(end, facts)
        if self.aboard_by is None:
            return PeriodEnd(by_day=end)
        grace_until = date(end.year + 1, *self.aboard_by) - timedelta(days=1)
        return PeriodEnd(by_day=end, grace_until=grace_until)


@dataclass(frozen=True, slots=True)
class UseTaxYear:
    """Heavy-vehicle use tax: the tax year to 30 June; its proof serves until the next return is due for July's use."""

    __pydantic_config__ = CLOSED

    name: Annotated[Literal["use_tax_year"], Field(validation_alias="rule")] = "use_tax_year"

    def end(self, facts: PeriodFacts) -> PeriodEnd:
        """30 June, and the next due day. Refuses: no day of first use, a permanent document, another end by hand."""
        _never_permanent(facts)
        end = use_tax_year_end(_required_start(facts))
        _only(end, facts)
        due = use_tax_due(end + timedelta(days=1))
        return PeriodEnd(by_day=end, grace_until=due, act_by=due)


@dataclass(frozen=True, slots=True)
class BiennialByNumber:
    """The carrier's biennial update by the digits of its USDOT number; the start is the day of the last filing."""

    __pydantic_config__ = CLOSED

    name: Annotated[Literal["biennial_by_number"], Field(validation_alias="rule")] = "biennial_by_number"

    def end(self, facts: PeriodFacts) -> PeriodEnd:
        """The next due day after the filing. Refuses: no filing day, a number that is not digits, another end."""
        _never_permanent(facts)
        start = _required_start(facts)
        try:
            due = next_biennial_update(facts.usdot_number, start)
        except ValueError as problem:
            raise PeriodRefused("malformed", "usdot_number") from problem
        _only(due, facts)
        return PeriodEnd(by_day=due)


@dataclass(frozen=True, slots=True)
class YearsAfterModelYear:
    """31 December of the year so many years after the model year; proof of a later fulfilment is permanent."""

    __pydantic_config__ = CLOSED

    years: Annotated[StrictInt, Field(ge=1)]
    name: Annotated[Literal["years_after_model_year"], Field(validation_alias="rule")] = "years_after_model_year"

    def end(self, facts: PeriodFacts) -> PeriodEnd:
        """The last day. Refuses: no model year, another end given by hand."""
        if facts.permanent:
            return _permanent(facts, allowed=True)
        if facts.model_year is None:
            raise PeriodRefused("required", "model_year")
        end = date(facts.model_year + self.years, 12, 31)
        _only(end, facts)
        return PeriodEnd(by_day=end)


@dataclass(frozen=True, slots=True)
class NoEnd:
    """A document that does not run out."""

    __pydantic_config__ = CLOSED

    name: Annotated[Literal["no_end"], Field(validation_alias="rule")] = "no_end"

    def end(self, facts: PeriodFacts) -> PeriodEnd:
        """No end. Refuses an end given by hand."""
        _only(None, facts)
        return PeriodEnd()


PeriodRule = Annotated[
    ExplicitDate | MonthsFromStart | CalendarYear | UseTaxYear | BiennialByNumber | YearsAfterModelYear | NoEnd,
    Field(discriminator="name"),
]
"""One way of ending, read from the `period` table of a kind. `end` refuses facts that cannot make a period."""


def stored_end(
    rule: PeriodRule, ends_on: date | None, ends_on_month: date | None = None, *, under_state_program: bool = False
) -> PeriodEnd:
    """The end of a document whose two readings were stored when it was recorded, with the grace that its rule adds."""
    if ends_on is not None and isinstance(rule, CalendarYear | UseTaxYear):
        return rule.end(PeriodFacts(starts_on=ends_on))
    return PeriodEnd(ends_on, ends_on_month, month_end_is_the_rule=under_state_program and ends_on_month is not None)


def _required_start(facts: PeriodFacts) -> date:
    if facts.starts_on is None:
        raise PeriodRefused("required", "starts_on")
    return facts.starts_on


def _permanent(facts: PeriodFacts, *, allowed: bool) -> PeriodEnd:
    if not allowed:
        raise PeriodRefused("may_not_be_permanent", "permanent")
    _only(None, facts)
    return PeriodEnd()


def _never_permanent(facts: PeriodFacts) -> None:
    if facts.permanent:
        raise PeriodRefused("may_not_be_permanent", "permanent")


def _only(end: date | None, facts: PeriodFacts) -> None:
    """Refuse an end given by hand that is not the one the rule gives."""
    if facts.ends_on not in (None, end):
        raise PeriodRefused("end_is_computed", "ends_on")
