"""All that defects contributes to what runs over every app, and what it does when others announce something."""

from common.composition import Contribution, Receiver
from defects.jobs import JOBS
from defects.messages import SENTENCES
from defects.rules.records.history_retention import RETENTIONS
from defects.selectors.catalogue.catalogue import refuse_bad_tightening
from defects.selectors.defects.defects import refuse_barred
from defects.selectors.records import audit_gaps
from defects.selectors.records.exports import EXPORTS
from defects.selectors.records.recounts import RECOUNTED
from defects.selectors.records.unit_file import barred, faults, reports, roadside
from defects.services.defects.periodic_inspections import flag_passed_inspections
from defects.services.loads.temperatures import measure_time_outside
from defects.services.records.notification_endings import ENDINGS
from defects.services.records.purging import DELETED_ALONG, photo_needs
from defects.services.roadside.reminders import count_to_answers
from fleet.enums import NotificationKind
from fleet.selectors.records.audit_gaps import AuditGaps
from fleet.services.notifications.refresh import NotificationRefresh
from fleet.services.records.purging.files import FileUser
from fleet.signals import cooling_readings_learned, documents_recorded, policy_set, unit_given_away

RECEIVERS = (
    Receiver(policy_set, refuse_bad_tightening),
    Receiver(documents_recorded, flag_passed_inspections),
    Receiver(unit_given_away, refuse_barred),
    Receiver(cooling_readings_learned, measure_time_outside),
)


CONTRIBUTION = Contribution(
    "defects",
    (
        SENTENCES,
        *RECEIVERS,
        *JOBS,
        *RETENTIONS,
        *RECOUNTED,
        *ENDINGS,
        *DELETED_ALONG,
        reports.DRIVER_REPORTS,
        faults.DEFECTS,
        faults.CERTIFICATES,
        faults.DRIVER_REVIEWS,
        roadside.ROADSIDE_INSPECTIONS,
        barred.HOLDS,
        barred.REFUSALS,
        barred.MOVES,
        EXPORTS,
        AuditGaps(audit_gaps.find),
        FileUser(photo_needs),
        NotificationRefresh(NotificationKind.ROADSIDE_ANSWER_DUE, count_to_answers),
    ),
)
