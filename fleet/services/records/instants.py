"""What a desk may say about when something happened. Facts signed in the field are never refused for it."""

from datetime import date, datetime

from common.errors import Invalid


def refuse_future(instant: datetime, now: datetime, pointer: str) -> None:
    """Invalid `instant_in_future` for what has not happened yet."""
    if instant > now:
        raise Invalid("instant_in_future", pointer=pointer)


def refuse_future_day(day: date | None, today: date, pointer: str) -> None:
    """Invalid `date_in_future` for a day that has not come yet."""
    if day is not None and day > today:
        raise Invalid("date_in_future", pointer=pointer)


def refuse_end_before(end: datetime, beginning: datetime, pointer: str) -> None:
    """Invalid `end_before_beginning` for an end that is not after the beginning."""
    if end <= beginning:
        raise Invalid("end_before_beginning", pointer=pointer, beginning=beginning)


def refuse_last_day_before(last: date | None, first: date | None, pointer: str) -> None:
    """Invalid `end_before_beginning` for a last day before the first one."""
    if last is not None and first is not None and last < first:
        raise Invalid("end_before_beginning", pointer=pointer, beginning=first)
