"""The only list of what defects does when others announce something. Receivers run inside the sender's transaction."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from common.composition import Receiver
from defects.selectors.catalogue.catalogue import TIGHTENING, check_tightening
from defects.services.defects.periodic_inspections import query_passed_inspections
from fleet.models import Document, Policy
from fleet.services.records.unit_of_work import UnitOfWork
from fleet.signals import documents_recorded, policy_set


def refuse_bad_tightening(sender: type[Policy], policy: Policy, now: datetime, **_: Any) -> None:  # noqa: ARG001 - a signal's signature
    """A carrier's own rules that cannot be applied are refused when they are decided, not when a report comes in."""
    if policy.key == TIGHTENING:
        check_tightening(policy.value)


def query_inspections(
    sender: type[Document],  # noqa: ARG001
    *,
    documents: Sequence[Document],
    work: UnitOfWork,
    from_table: bool,
    **_: Any,
) -> None:
    """A periodic inspection is refused while a fault found at it is open, and flagged over an older one."""
    query_passed_inspections(documents, work=work, may_refuse=not from_table)


RECEIVERS = (Receiver(policy_set, refuse_bad_tightening), Receiver(documents_recorded, query_inspections))
