"""The negative control of a race: the chains of units read, and not locked."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from common.compiled import Compiled
from fleet.models import UnitChain
from fleet.services.records.unit_of_work import Beside, nothing


def read_only(units: Iterable[UUID], *, beside: Beside = nothing, at: datetime | None = None) -> list[UnitChain]:
    """Do what `lock_units` does, less the lock."""
    wanted = sorted(set(units))
    beside_them = ({key for (key,) in Compiled(query).rows(units=wanted, at=at)} for query in beside())
    return list(UnitChain.objects.filter(unit_id__in=set(wanted).union(*beside_them)).order_by("unit_id"))
