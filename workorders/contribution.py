"""All that workorders contributes to what runs over every app, and what it does when others announce something."""

from common.composition import Contribution, Receiver
from defects.signals import defects_certified, defects_reported, defects_withdrawn
from fleet.selectors.records.audit_gaps import AuditGaps
from fleet.signals import unit_given_away
from workorders.messages import SENTENCES
from workorders.rules.records import RETENTIONS
from workorders.selectors.orders.listing import refuse_in_shop
from workorders.selectors.records import audit_gaps
from workorders.selectors.records.exports import EXPORTS
from workorders.selectors.records.unit_file import evidence, repairs, schedule
from workorders.services.orders.ended_defects import settle_certified, settle_withdrawn
from workorders.services.orders.expected_time import ENDINGS
from workorders.services.orders.joining import order_defects

RECEIVERS = (
    Receiver(defects_reported, order_defects),
    Receiver(defects_certified, settle_certified),
    Receiver(defects_withdrawn, settle_withdrawn),
    Receiver(unit_given_away, refuse_in_shop),
)


CONTRIBUTION = Contribution(
    "workorders",
    (
        SENTENCES,
        *RECEIVERS,
        *RETENTIONS,
        *ENDINGS,
        schedule.SCHEDULE,
        repairs.REPAIR_ORDERS,
        repairs.OUTSIDE_REPAIRS,
        evidence.QUALIFICATIONS,
        EXPORTS,
        AuditGaps(audit_gaps.find),
    ),
)
