"""The periodic jobs of defects."""

from datetime import timedelta

from common.jobs import MINUTE, Job
from defects.services.certificates.deferrals import return_past_limit
from defects.services.clearance.changes import tell_flipped
from defects.services.roadside.reminders import remind_of_answers

QUARTER = timedelta(minutes=15)

JOBS = (
    Job("return_past_limit", QUARTER, lambda run: return_past_limit(now=run.clock())),
    Job("tell_flipped", MINUTE, lambda run: tell_flipped(now=run.clock())),
    Job("remind_of_answers", QUARTER, lambda run: remind_of_answers(now=run.clock())),
)
