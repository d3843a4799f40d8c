"""What a benchmark runs inside a process of the service: filling a fleet, and weighing it."""

import resource
import sys
import time
from typing import Any

from django.db import connection, transaction
from django.db.models import Field, Model, QuerySet

from defects.enums import ClearanceAnswer
from defects.models import Defect, Hold, Measurement, Report, Walkaround
from defects.rules.clearance.evaluate import answer_clearance
from defects.selectors.clearance.yard import yard_of
from fleet.models import (
    Axle,
    CoolingUnitDetails,
    Coupling,
    CouplingMember,
    Document,
    Mounting,
    Person,
    Signature,
    TractorDetails,
    TrailerDetails,
    Unit,
)
from tests.factories.fleet import NOON
from tests.support.large_yard import fill_yard

FIRST = 300
"""So many units are made one by one; the others are copies of them within the database."""
OF_A_UNIT: tuple[type[Model], ...] = (
    TractorDetails,
    TrailerDetails,
    CoolingUnitDetails,
    Axle,
    Document,
    CouplingMember,
    Report,
    Measurement,
    Defect,
    Hold,
)
COUNTED = tuple(model._meta.get_field("number") for model in (Defect, Hold))
"""What the database gives each row."""
NUMBERS = "^B[TRC]-"


@transaction.atomic
def fill(count: int) -> None:
    """So many units in combinations of three, faults on every third; a multiple of 300."""
    fill_yard(FIRST, Person.objects.order_by("pk")[0])
    units = Unit.objects.filter(number__regex=NUMBERS)
    rows: dict[type[Model], QuerySet[Any]] = {
        Unit: units,
        Coupling: Coupling.objects.filter(members__unit__in=units),
        Mounting: Mounting.objects.filter(trailer__unit__in=units),
        Signature: Signature.objects.filter(reports__unit__in=units),
        Walkaround: Walkaround.objects.filter(reports__unit__in=units),
        **{model: model._default_manager.filter(unit__in=units) for model in OF_A_UNIT},
    }
    keys = {model: list(found.values_list("pk", flat=True)) for model, found in rows.items()}
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL statement_timeout = 0")
        for model, of_model in keys.items():
            cursor.execute(_copy(model, frozenset(keys)), {"copies": count // FIRST - 1, "keys": of_model})


def _copy(model: type[Model], copied: frozenset[type[Model]]) -> str:
    """The statement that copies rows so many times, whatever they name among what is copied being the copy's too."""
    meta = model._meta
    fields = {f'"{field.column}"': _copied(field, copied) for field in meta.concrete_fields if field not in COUNTED}
    return (
        f"INSERT INTO {meta.db_table} ({', '.join(fields)}) SELECT {', '.join(fields.values())}"  # noqa: S608 - names of the models alone
        f" FROM {meta.db_table}, generate_series(1, %(copies)s) AS copy"
        f" WHERE {meta.pk.column} = ANY(%(keys)s)"
    )


def _copied(field: "Field[Any, Any]", copied: frozenset[type[Model]]) -> str:
    if field.column == "number" and field.model is Unit:  # numbered on: a page shows faults on every third here too
        return f"substr(number, 1, 3) || (substr(number, 4)::int + {FIRST // 3} * copy)"
    if field.column == "checks":  # as lists they would be of gigabytes, and are read for the units asked alone
        return "jsonb_path_query_array(checks, '$[0 to 2]')"
    if field.related_model in copied or (field.primary_key and field.related_model is None):
        return f"(lpad(to_hex(copy), 8, '0') || substr({field.column}::text, 9))::uuid"
    return f'"{field.column}"'


def weigh(count: int) -> None:
    """Read the facts of so many units, weigh them, print: seconds for each, units, how many barred, the peak in kB."""
    units = list(Unit.objects.filter(number__regex=NUMBERS).order_by("pk")[:count])
    begun = time.perf_counter()
    yard = yard_of(units, now=NOON)
    read = time.perf_counter()
    answers = [answer_clearance(combination.snapshot) for combination in yard.combinations]
    weighed = time.perf_counter()
    barred = sum(
        len(combination.snapshot.units)
        for combination, answer in zip(yard.combinations, answers, strict=True)
        if answer.answer is ClearanceAnswer.BARRED
    )
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    sys.stdout.write(f"MEASURED {read - begun} {weighed - read} {len(units)} {barred} {peak}")
