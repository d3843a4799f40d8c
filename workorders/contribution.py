"""All that workorders contributes to what runs over every app, and what it does when others announce something."""

from common.composition import Contribution, Receiver
from defects.signals import defects_certified, defects_reported, defects_withdrawn
from fleet.selectors.records.audit_gaps import GapFinder
from workorders.messages import SENTENCES
from workorders.rules.records import RETENTIONS
from workorders.selectors.records import audit_gaps
from workorders.selectors.records.exports import EXPORTS
from workorders.selectors.records.unit_file import evidence as skilled
from workorders.selectors.records.unit_file import repairs
from workorders.selectors.records.unit_file import schedule as due
from workorders.services.orders.ended_defects import drop_withdrawn_work, settle_certified_work
from workorders.services.orders.expected_time import ENDINGS
from workorders.services.orders.joining import open_or_join_order

RECEIVERS = (
    Receiver(defects_reported, open_or_join_order),
    Receiver(defects_certified, settle_certified_work),
    Receiver(defects_withdrawn, drop_withdrawn_work),
)


CONTRIBUTION = Contribution(
    "workorders",
    (
        SENTENCES,
        *RECEIVERS,
        *RETENTIONS,
        *ENDINGS,
        due.SCHEDULE,
        repairs.REPAIR_ORDERS,
        repairs.OUTSIDE_REPAIRS,
        skilled.QUALIFICATIONS,
        EXPORTS,
        GapFinder(audit_gaps.find),
    ),
)
