"""What a benchmark runs inside a process of the service: filling a fleet, and weighing all of it."""

import resource
import sys
import time

from defects.rules.clearance import Answer, answer_clearance
from defects.selectors.clearance.yard import yard_of
from fleet.models import Person, Unit
from tests.factories.fleet import NOON
from tests.factories.yard import fill_yard


def fill(count: int) -> None:
    """So many units in combinations of three, faults on every third."""
    fill_yard(count, Person.objects.order_by("pk")[0])


def weigh() -> None:
    """Read every unit's facts, then weigh them: seconds for each, units, how many are barred, and the peak in kB."""
    units = list(Unit.objects.filter(number__regex="^B[TRC]-").order_by("pk"))
    begun = time.perf_counter()
    yard = yard_of(units, now=NOON)
    read = time.perf_counter()
    answers = [answer_clearance(combination.snapshot) for combination in yard.combinations]
    weighed = time.perf_counter()
    barred = sum(
        len(combination.snapshot.units)
        for combination, answer in zip(yard.combinations, answers, strict=True)
        if answer.answer is Answer.BARRED
    )
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    sys.stdout.write(f"MEASURED {read - begun} {weighed - read} {len(units)} {barred} {peak}")
