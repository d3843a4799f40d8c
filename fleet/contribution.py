"""All that fleet contributes to what runs over every app."""

from common.api.problem_document import ReadersZone
from common.composition import Contribution
from fleet.jobs import JOBS
from fleet.messages import SENTENCES
from fleet.rules.records.history_retention import RETENTIONS
from fleet.selectors.carrier.carrier import carriers_zone
from fleet.selectors.records import audit_gaps
from fleet.selectors.records.audit_gaps import AuditGaps
from fleet.selectors.records.exports.fleet_tables import EXPORTS
from fleet.selectors.records.recounts import RECOUNTED
from fleet.selectors.records.unit_file import cooling, documents, history, identity, running
from fleet.services.documents.reminders.endings import ENDINGS
from fleet.services.documents.reminders.refresh import REFRESH
from fleet.services.records.purging.files import FileUser, scan_needs

CONTRIBUTION = Contribution(
    "fleet",
    (
        SENTENCES,
        ReadersZone(carriers_zone),
        *JOBS,
        *RETENTIONS,
        *RECOUNTED,
        identity.UNIT,
        documents.PERIODIC_INSPECTIONS,
        documents.DOCUMENTS,
        running.COMBINATIONS,
        running.WHEREABOUTS,
        running.METERS,
        cooling.READINGS,
        history.HISTORY,
        EXPORTS,
        AuditGaps(audit_gaps.find),
        FileUser(scan_needs),
        *ENDINGS,
        REFRESH,
    ),
)
