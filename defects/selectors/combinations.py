"""The units of a trip as dispatch names them: each with the cooling unit that is mounted on it, in one statement."""

from collections.abc import Sequence
from datetime import datetime

from django.db.models import Q
from django.db.models.functions import Upper

from common.errors import FieldProblem, Invalid
from fleet.models import Mounting, Unit
from fleet.rules.units.references import UnitReference, parse_reference, reference_of


def units_of_trip(refs: Sequence[str], *, at: datetime) -> list[Unit]:
    """The units named, in the order named, and after them the cooling units mounted on the trailers among them.

    Invalid `unit_unknown` with a pointer to each stranger.
    """
    wanted = [parse_reference(ref) for ref in refs]
    named = Q(pk__in=[])
    for ref in wanted:
        if ref is not None:
            named |= Q(pk=ref.key) if ref.key else Q(number_upper=ref.number, owner_upper=ref.owner, retired_on=None)
    units = Unit.objects.alias(number_upper=Upper("number"), owner_upper=Upper("owner"))
    mounted = Mounting.objects.filter(span__contains=at, trailer_id__in=units.filter(named).values("pk")).values(
        "cooling_unit_id"
    )
    rows = list(units.filter(named | Q(pk__in=mounted)).order_by("kind", "number", "pk"))
    found: dict[UnitReference, Unit] = {}
    for unit in rows:
        found[UnitReference(key=unit.pk)] = unit
        if unit.retired_on is None:
            found[reference_of(unit.number, unit.owner)] = unit
    strangers = [index for index, ref in enumerate(wanted) if ref is None or ref not in found]
    if strangers:
        raise Invalid("unit_unknown", problems=[FieldProblem(f"/units/{index}", "unit_unknown") for index in strangers])
    chosen = [found[ref] for ref in wanted if ref is not None]
    return chosen + [unit for unit in rows if unit.kind == "cooling_unit" and unit not in chosen]
