"""What time alone makes due among defects: certificates past their limit, answers that turned, answers owed."""

from datetime import timedelta

from defects.services.deferrals import return_past_limit
from defects.services.flips import tell_flipped
from defects.services.roadside import remind_of_answers
from fleet.sweeps import EVERY_ROUND, Sweep, add_sweep

add_sweep(Sweep("return_past_limit", timedelta(minutes=15), lambda run: return_past_limit(now=run.clock())))
add_sweep(Sweep("tell_flipped", EVERY_ROUND, lambda run: tell_flipped(now=run.clock())))
add_sweep(Sweep("remind_of_answers", timedelta(minutes=15), lambda run: remind_of_answers(now=run.clock())))
