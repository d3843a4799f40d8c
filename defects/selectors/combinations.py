"""The units of a trip as dispatch names them: each with the cooling unit that is mounted on it, in one statement."""

from collections.abc import Sequence
from datetime import datetime
from functools import cache

from django.db.models import OuterRef, Q, Subquery
from django.db.models.functions import Upper

from common.compiled import INSTANT, KEYS, TEXTS, CompiledObjects, Given, KeyIn, TextIn
from common.errors import FieldProblem, Invalid
from fleet.models import Mounting, Unit
from fleet.rules.units.references import UnitReference, parse_reference, reference_of


def units_of_trip(refs: Sequence[str], *, at: datetime) -> list[Unit]:
    """The units named, in the order named, and after them the cooling units mounted on the trailers among them.

    Invalid `unit_unknown` with a pointer to each stranger.
    """
    wanted = [parse_reference(ref) for ref in refs]
    keys = [ref.key for ref in wanted if ref is not None and ref.key is not None]
    numbers = [ref.number for ref in wanted if ref is not None and ref.key is None]
    rows = named_statement().fetch(keys=keys, numbers=numbers, at=at)
    found: dict[UnitReference, Unit] = {}
    for unit in rows:
        found[UnitReference(key=unit.pk)] = unit
        if unit.retired_on is None:
            found[reference_of(unit.number, unit.owner)] = unit
    strangers = [index for index, ref in enumerate(wanted) if ref is None or ref not in found]
    if strangers:
        raise Invalid("unit_unknown", problems=[FieldProblem(f"/units/{index}", "unit_unknown") for index in strangers])
    chosen = [found[ref] for ref in wanted if ref is not None]
    keys = [unit.pk for unit in chosen]
    mounted = [unit for unit in rows if unit.mounted_on in keys]  # type: ignore[attr-defined]  # annotated
    return chosen + [unit for unit in mounted if unit.pk not in keys]


@cache
def named_statement() -> CompiledObjects[Unit]:
    """The statement for units by key and by number, whoever owns them, and for what is mounted on them."""
    at = Given("at", INSTANT)
    units = Unit.objects.annotate(number_upper=Upper("number"))
    named = Q(KeyIn("pk", Given("keys", KEYS))) | Q(TextIn("number_upper", Given("numbers", TEXTS)), retired_on=None)
    running = Mounting.objects.filter(span__contains=at)
    keys = units.filter(named).values("pk")
    # By UNION, since what is joined by OR to another table is looked for in every row.
    together = keys.union(running.filter(trailer_id__in=keys).values("cooling_unit_id"))
    on = Subquery(running.filter(cooling_unit_id=OuterRef("pk")).values("trailer_id")[:1])
    found = Unit.objects.filter(pk__in=together).annotate(mounted_on=on)
    return CompiledObjects(found.order_by("kind", "number", "pk"))
