"""All that workorders contributes to what runs over every app."""

from common.composition import Contribution
from fleet.audit_gaps import GapFinder
from workorders.kept_records import RETENTIONS
from workorders.messages import SENTENCES
from workorders.notification_endings import ENDINGS
from workorders.receivers import RECEIVERS
from workorders.selectors.orders import audit_gaps
from workorders.selectors.orders.exports import EXPORTS
from workorders.selectors.orders.unit_file import evidence as skilled
from workorders.selectors.orders.unit_file import repairs
from workorders.selectors.orders.unit_file import schedule as due

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
