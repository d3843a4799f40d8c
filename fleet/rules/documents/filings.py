"""Days by which a carrier must file: heavy-vehicle use tax and the biennial update. Holds no document and no clock."""

from datetime import date

from common.days import add_months, end_of_month, next_business_day

JULY = 7
OCTOBER = 10
DIGITS_THAT_COUNT = 2


def use_tax_due(first_used: date) -> date:
    """The last day to file for a vehicle first used in a tax year on `first_used`, moved to a business day.

    The last day of the month after the month of first use; a weekend or holiday moves it on (read: the tax
    authority's table of due days; 26 U.S.C. 7503). It does not depend on the registration's own date.
    """
    return next_business_day(end_of_month(add_months(first_used.replace(day=1), 1)))


def use_tax_year_end(used: date) -> date:
    """The last day, 30 June, of the tax year from 1 July that a day of use lies in."""
    return date(used.year + (used.month >= JULY), 6, 30)


def biennial_month(usdot_number: str) -> int:
    """The month, 1 to 12, in which the update is due: the number's last digit, 0 for October (390.19, read).

    Raises ValueError for a number of fewer than two digits or with anything else in it.
    """
    return int(_counted_digits(usdot_number)[-1]) or OCTOBER


def next_biennial_update(usdot_number: str, filed_on: date) -> date:
    """The last day of the first due month that comes after the month `filed_on` lies in.

    Due in odd years when the next-to-last digit is odd, in even years when it is even (390.19, read). A filing within
    the due month is the one owed; a filing in any other month leaves the schedule as it is. ValueError as above.
    """
    year_is_odd = int(_counted_digits(usdot_number)[0]) % 2
    month = biennial_month(usdot_number)
    year = filed_on.year if filed_on.year % 2 == year_is_odd else filed_on.year + 1
    if (year, month) <= (filed_on.year, filed_on.month):
        year += 2
    return end_of_month(date(year, month, 1))


def _counted_digits(usdot_number: str) -> str:
    if len(usdot_number) < DIGITS_THAT_COUNT or not (usdot_number.isascii() and usdot_number.isdigit()):
        msg = "a USDOT number has at least two digits and nothing else"
        raise ValueError(msg)
    return usdot_number[-DIGITS_THAT_COUNT:]
