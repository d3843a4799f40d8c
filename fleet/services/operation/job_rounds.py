"""Running the periodic jobs in rounds, in one process without a broker."""

import logging
from collections.abc import Sequence
from datetime import datetime

from django.db import DatabaseError, close_old_connections
from django.db.utils import InterfaceError

from common.causes import caused_by, run_name
from common.ids import uuid7
from common.jobs import MINUTE, Job, Run
from fleet.services.operation.job_runs import note_run

logger = logging.getLogger(__name__)


class Rounds:
    """Remembers when each job last ran. One that fails is logged and tried again in the next round.

    A job of every minute runs in every round, however short the rounds are.
    """

    def __init__(self, jobs: Sequence[Job], run: Run) -> None:
        self._jobs = jobs
        self._run = run
        self._ran: dict[str, datetime] = {}

    def next(self) -> bool:
        """Run every job that has rested long enough; whether all went well."""
        outcomes = [self._try(job) for job in self._jobs if self._is_due(job) and not self._run.stop()]
        return all(outcomes)

    def _is_due(self, job: Job) -> bool:
        ran = self._ran.get(job.name)
        return ran is None or job.every == MINUTE or self._run.clock() - ran >= job.every

    def _try(self, job: Job) -> bool:
        with caused_by(run_name(job.name, uuid7().hex)):
            return self._run_one(job)

    def _run_one(self, job: Job) -> bool:
        begun = self._run.clock()
        close_old_connections()
        try:
            result = job.run(self._run)
            note_run(job.name, well=True, now=self._run.clock())
        except (DatabaseError, InterfaceError) as why:
            # The database may be away for a while; a page of trace every round would tell no more.
            logger.error("job %s failed: %s", job.name, why)  # noqa: TRY400 - as said above
            self._note_failure(job)
            return False
        except Exception:  # one job must not keep the others from running
            logger.exception("job %s failed", job.name)
            self._note_failure(job)
            return False
        logger.debug("job %s: %s", job.name, result)
        self._ran[job.name] = begun
        return True

    def _note_failure(self, job: Job) -> None:
        try:
            note_run(job.name, well=False, now=self._run.clock())
        except (DatabaseError, InterfaceError) as why:
            logger.info("that job %s failed could not be noted: %s", job.name, why)
