"""The periodic jobs of fleet."""

from datetime import timedelta

from django.conf import settings

from common.jobs import MINUTE, Job
from fleet.services.cooling.learning import learn_from_readings
from fleet.services.documents.reminders.job import remind_of_documents
from fleet.services.notifications.deliveries import deliver_pending
from fleet.services.notifications.job import escalate_notifications
from fleet.services.people.access import end_access_that_is_over
from fleet.services.records.digests import write_history_digest
from fleet.services.records.expired import delete_leftovers
from fleet.services.records.purging.job import purge_records

HOUR = timedelta(hours=1)

JOBS = (
    Job("end_access", MINUTE, lambda run: end_access_that_is_over(now=run.clock())),
    Job("learn_from_readings", MINUTE, lambda run: learn_from_readings(now=run.clock())),
    # Steps are days; what is recorded late is reminded of soon, and a run that was cut off goes on soon.
    Job("remind_of_documents", 10 * MINUTE, lambda run: remind_of_documents(clock=run.clock, stop=run.stop)),
    Job("escalate_notifications", MINUTE, lambda run: escalate_notifications(now=run.clock())),
    Job("deliver_notifications", MINUTE, lambda run: deliver_pending(clock=run.clock, stop=run.stop)),
    # The digest is a day's; whether one is missing is asked every hour.
    Job(
        "write_history_digest",
        HOUR,
        lambda run: write_history_digest(directory=settings.HISTORY_DIGEST_DIR, now=run.clock()),
    ),
    Job("purge_requests", HOUR, lambda run: delete_leftovers(now=run.clock())),
    # One run deletes at most 10,000 records of each sort; the next goes on.
    Job("purge_records", HOUR, lambda run: purge_records(now=run.clock(), stop=run.stop)),
)
