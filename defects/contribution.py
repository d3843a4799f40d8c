"""All that defects contributes to what runs over every app."""

from common.composition import Contribution
from defects.jobs import JOBS
from defects.kept_records import RETENTIONS
from defects.messages import SENTENCES
from defects.notification_endings import ENDINGS
from defects.purging import COMPANIONS, photo_needs
from defects.receivers import RECEIVERS
from defects.selectors.records import audit_gaps
from defects.selectors.records.exports import EXPORTS
from defects.selectors.records.recounts import RECOUNTED
from defects.services.roadside.reminders import count_to_answers
from defects.unit_file import barred, faults, reports, roadside
from fleet.audit_gaps import GapFinder
from fleet.enums import NotificationKind
from fleet.file_users import FileUser
from fleet.services.notifications.recount import NotificationRecount

CONTRIBUTION = Contribution(
    "defects",
    (
        SENTENCES,
        *RECEIVERS,
        *JOBS,
        *RETENTIONS,
        *RECOUNTED,
        *ENDINGS,
        *COMPANIONS,
        reports.DRIVER_REPORTS,
        faults.DEFECTS,
        faults.CERTIFICATES,
        faults.DRIVER_REVIEWS,
        roadside.ROADSIDE_INSPECTIONS,
        barred.HOLDS,
        barred.REFUSALS,
        barred.MOVES,
        EXPORTS,
        GapFinder(audit_gaps.find),
        FileUser(photo_needs),
        NotificationRecount(NotificationKind.ROADSIDE_ANSWER_DUE, count_to_answers),
    ),
)
