"""The sweep over papers: page by page, each committed by itself, until all is owed or its time is up.

What is owed already is refused by its key, so that runs cut off, a beat lost for days or several sweeps at once come to
the same rows. Only where a run was cut off is remembered, so that the next need not pass over it all again.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from common.errors import NotFound
from fleet.models import SweepPlace
from fleet.selectors.documents.status import paper_day
from fleet.services.documents.reminders.pages import Place, pages

NAME = "remind_of_papers"

SIZE = 5_000
"""Papers in one page, which must be done well within the statement timeout."""

RUN_FOR = timedelta(seconds=30)
"""A run stops after this and leaves the rest to the next one: tasks are ended after a minute."""

Clock = Callable[[], datetime]


@dataclass
class Reminded:
    """How many notices one run newly owed, over how many papers and units, and whether it came to the end."""

    owed: int = 0
    looked_at: int = 0
    whole: bool = True


def remind_of_papers(*, clock: Clock, stop: Callable[[], bool] = lambda: False, size: int = SIZE) -> Reminded:
    """Owe the newest step of every standing paper whose day has come, and weekly what units and the carrier lack.

    Until half a minute has passed or `stop` says so; the next run of the same day goes on from there. Papers of retired
    units and of people who left owe nothing. Before the carrier is recorded there is nothing to do.
    """
    begun = clock()
    done = Reminded()
    try:
        day = paper_day(now=begun)
    except NotFound:
        return done
    for page in pages(day, _cut_off_at(day.today), now=begun, size=size):
        done.owed += page.owed
        done.looked_at += page.looked_at
        if stop() or clock() - begun >= RUN_FOR:
            done.whole = False
            _remember(page.place, day.today)
            return done
    SweepPlace.objects.filter(name=NAME).delete()
    return done


def _cut_off_at(today: date) -> Place:
    row = SweepPlace.objects.filter(name=NAME, day=today).first()
    return Place() if row is None else Place(row.after_day, row.after_id)


def _remember(place: Place, today: date) -> None:
    SweepPlace.objects.update_or_create(
        name=NAME, defaults={"day": today, "after_day": place.day, "after_id": place.key}
    )
