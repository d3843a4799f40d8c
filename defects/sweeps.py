"""What time alone makes due among defects: certificates whose limit has passed."""

from datetime import timedelta

from defects.services.deferrals import return_past_limit
from fleet.sweeps import Sweep, add_sweep

add_sweep(Sweep("return_past_limit", timedelta(minutes=15), lambda run: return_past_limit(now=run.clock())))
