"""The negative control of a race: the chains of units read, and not locked."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from fleet.models import UnitChain
from fleet.services.records.unit_of_work import Beside, nothing


def read_only(units: Iterable[UUID], *, beside: Beside = nothing, at: datetime | None = None) -> list[UnitChain]:
    """Do what `lock_units` does, less the lock."""
    wanted = sorted(set(units))
    beside_them = (set(query) for query in beside({"units": wanted, "at": at}))
    return list(UnitChain.objects.filter(unit_id__in=set(wanted).union(*beside_them)).order_by("unit_id"))
