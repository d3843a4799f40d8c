"""The periodic jobs of defects."""

from datetime import timedelta

from common.jobs import MINUTE, Job
from defects.services.certificates.deferrals import return_past_limit
from defects.services.clearance.changes import notify_of_changes
from defects.services.moves import notify_of_passed_moves
from defects.services.roadside.reminders import remind_of_answers

QUARTER = timedelta(minutes=15)

JOBS = (
    Job("return_past_limit", QUARTER, lambda run: return_past_limit(now=run.clock())),
    Job("notify_of_changes", MINUTE, lambda run: notify_of_changes(now=run.clock())),
    Job("notify_of_passed_moves", MINUTE, lambda run: notify_of_passed_moves(now=run.clock())),
    Job("remind_of_answers", QUARTER, lambda run: remind_of_answers(now=run.clock())),
)
