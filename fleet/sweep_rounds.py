"""Running sweeps in rounds, in one process without a broker. What they do is in `fleet.sweeps`."""

import logging
from collections.abc import Sequence
from datetime import datetime

from django.db import DatabaseError, close_old_connections
from django.db.utils import InterfaceError

from common.causes import caused_by, run_name
from common.ids import uuid7
from fleet.services.operation.job_runs import note_run
from fleet.sweeps import Run, Sweep

logger = logging.getLogger(__name__)


class Rounds:
    """Remembers when each sweep last ran. One that fails is logged and tried again in the next round."""

    def __init__(self, sweeps: Sequence[Sweep], run: Run) -> None:
        self._sweeps = sweeps
        self._run = run
        self._ran: dict[str, datetime] = {}

    def next(self) -> bool:
        """Run every sweep that has rested long enough; whether all went well."""
        outcomes = [self._try(sweep) for sweep in self._sweeps if self._is_due(sweep) and not self._run.stop()]
        return all(outcomes)

    def _is_due(self, sweep: Sweep) -> bool:
        ran = self._ran.get(sweep.name)
        return ran is None or self._run.clock() - ran >= sweep.rest

    def _try(self, sweep: Sweep) -> bool:
        with caused_by(run_name(sweep.name, uuid7().hex)):
            return self._run_one(sweep)

    def _run_one(self, sweep: Sweep) -> bool:
        begun = self._run.clock()
        close_old_connections()
        try:
            result = sweep.run(self._run)
            note_run(sweep.name, well=True, now=self._run.clock())
        except (DatabaseError, InterfaceError) as why:
            # The database may be away for a while; a page of trace every round would tell no more.
            logger.error("sweep %s failed: %s", sweep.name, why)  # noqa: TRY400 - as said above
            self._note_failure(sweep)
            return False
        except Exception:  # one sweep must not keep the others from running
            logger.exception("sweep %s failed", sweep.name)
            self._note_failure(sweep)
            return False
        logger.debug("sweep %s: %s", sweep.name, result)
        self._ran[sweep.name] = begun
        return True

    def _note_failure(self, sweep: Sweep) -> None:
        try:
            note_run(sweep.name, well=False, now=self._run.clock())
        except (DatabaseError, InterfaceError) as why:
            logger.info("that sweep %s failed could not be noted: %s", sweep.name, why)
