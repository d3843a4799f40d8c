"""The reminder job as a worker runs it, in a process of its own, with what it took. Run by the case of that name."""

import resource
import sys
import time

from common import clock
from fleet.services.documents.reminders.job import remind_of_documents


def run() -> None:
    """Sweep until a run comes to the end; print notices owed, seconds, the longest run's seconds and the most kB."""
    owed, longest, whole, begun = 0, 0.0, False, time.perf_counter()
    while not whole:
        started = time.perf_counter()
        done = remind_of_documents(clock=clock.now)
        owed, whole, longest = owed + done.created, done.whole, max(longest, time.perf_counter() - started)
    taken = time.perf_counter() - begun
    sys.stdout.write(f"MEASURED {owed} {taken} {longest} {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss}\n")
