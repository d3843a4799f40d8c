"""What machines ask the service about itself: whether it lives, and whether it can do its work."""

import logging
from dataclasses import asdict

from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_safe

from common import clock
from common.api.plain_views import without_query
from fleet.selectors.notifications.listing import parked_deliveries
from fleet.selectors.operation import migrations
from fleet.selectors.operation.job_states import JobState, job_states

logger = logging.getLogger(__name__)

DATABASE_CAP_MS = 200
RETRY_AFTER_S = 5


class Readiness:
    """Whether database and code fit together; what migrations the code has is read from the files once."""

    def __init__(self) -> None:
        self.wanted: frozenset[tuple[str, str]] | None = None

    def missing(self) -> list[str]:
        """Return the migrations that the database lacks. DatabaseError when it does not answer in time."""
        if self.wanted is None:
            self.wanted = migrations.own()
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"SET LOCAL statement_timeout = {DATABASE_CAP_MS}")
            applied = frozenset(MigrationRecorder.Migration.objects.values_list("app", "name"))
        return sorted(f"{app}.{name}" for app, name in self.wanted - applied)

    def parked(self) -> int:
        """Return how many messages could not leave, within the same time. DatabaseError as above."""
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"SET LOCAL statement_timeout = {DATABASE_CAP_MS}")
            return parked_deliveries().count()

    def jobs(self) -> list[JobState]:
        """Return whether each job runs when it should, within the same time. DatabaseError as above."""
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"SET LOCAL statement_timeout = {DATABASE_CAP_MS}")
            return job_states(now=clock.now())


readiness = Readiness()


@require_safe
@without_query
def livez(_request: HttpRequest) -> HttpResponse:
    """The process answers; asks nothing else, so that a lost database never gets it killed."""
    return JsonResponse({"status": "alive"})


@require_safe
@without_query
def readyz(_request: HttpRequest) -> HttpResponse:
    """The database answers and has every migration; 503 with Retry-After otherwise. The broker does not matter.

    Messages that could not leave, a mail server that is not set and jobs that are late or failed are told in the
    answer: somebody must look at them, but the web process can work.
    """
    try:
        missing = readiness.missing()
        parked = 0 if missing else readiness.parked()
        states = [] if missing else readiness.jobs()
    except DatabaseError as why:
        logger.warning("not ready: %s", why)
        return HttpResponse(status=503, headers={"Retry-After": str(RETRY_AFTER_S)})
    if missing:
        logger.warning("not ready: the database lacks %s", ", ".join(missing))
        return HttpResponse(status=503, headers={"Retry-After": str(RETRY_AFTER_S)})
    return JsonResponse(
        {
            "status": "ready",
            "parked_deliveries": parked,
            "mail_server_set": settings.MAIL_SERVER_SET,
            "jobs": [asdict(state) for state in states],
        }
    )
