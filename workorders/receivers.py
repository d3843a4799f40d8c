"""The only list of what the shop does when others announce something. Receivers run inside the sender's transaction."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from common.composition import Receiver
from defects.models import Certificate, Defect
from defects.signals import defects_certified, defects_reported, defects_withdrawn
from fleet.services.records.unit_of_work import UnitOfWork
from workorders.services.orders.ended_defects import settle_certified, settle_withdrawn
from workorders.services.orders.joining import order_defects


def open_or_join_order(
    sender: type,  # noqa: ARG001 - a signal's signature
    defects: Sequence[Defect],
    *,
    work: UnitOfWork,
    seen_at: datetime | None = None,
    **_: Any,
) -> None:
    """An accepted report never loses its order: both are written, or neither is."""
    order_defects(defects, work=work, seen_at=seen_at)


def settle_certified_work(
    sender: type,  # noqa: ARG001 - a signal's signature
    certificates: Sequence[Certificate],
    work: UnitOfWork,
    **_: Any,
) -> None:
    """What is certified repaired needs no task any more, wherever the repair was made."""
    settle_certified(certificates, work=work)


def drop_withdrawn_work(
    sender: type,  # noqa: ARG001 - a signal's signature
    defects: Sequence[Defect],
    work: UnitOfWork,
    **_: Any,
) -> None:
    """What was entered in error is not worked on any more."""
    settle_withdrawn(defects, work=work)


RECEIVERS = (
    Receiver(defects_reported, open_or_join_order),
    Receiver(defects_certified, settle_certified_work),
    Receiver(defects_withdrawn, drop_withdrawn_work),
)
