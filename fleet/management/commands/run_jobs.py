"""`manage.py run_jobs`: do what worker and beat do, in one process without a broker; for the demo."""

import signal
from argparse import ArgumentParser
from threading import Event
from typing import Any

from django.core.management.base import BaseCommand

from common import clock
from common.jobs import Run, jobs
from fleet.management.acting import seconds
from fleet.services.operation.job_rounds import Rounds

RETRY_S = 5.0


class Command(BaseCommand):
    """Runs every job when it is due until it is told to stop, and lives through a lost database."""

    help = "Run the periodic jobs that worker and beat would run, without a broker, until interrupted."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--interval", type=seconds, default=60, metavar="SECONDS", help="wait between rounds (60)")
        parser.add_argument("--once", action="store_true", help="run every job once and leave; with 1 if one failed")

    def handle(self, *, interval: float, once: bool, **_options: Any) -> None:
        """Run until SIGTERM or SIGINT, finishing the mail that is being sent. SystemExit(1) if `--once` failed."""
        stop = Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stop.set())
        rounds = Rounds(jobs(), Run(clock=clock.now, stop=stop.is_set))
        while True:
            well = rounds.next()
            if once and not well:
                raise SystemExit(1)
            if once or stop.wait(interval if well else min(interval, RETRY_S)):
                return
