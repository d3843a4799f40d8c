"""What runs by itself: the jobs, and the messages that should have left."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from fleet.enums import DeliveryState
from fleet.management.doctor.diagnosis import Diagnosis
from fleet.models import Delivery
from fleet.selectors.notifications.addresses import people_without_address
from fleet.selectors.operation.job_states import job_states
from fleet.services.notifications.skipped_records import skipped_record

LONG = timedelta(hours=1)
"""How long a message may be pending before somebody should look. Our own figure."""


def examine_jobs(now: datetime) -> Iterator[Diagnosis]:
    """Tell which job is late or failed, and which leaves records out."""
    states = job_states(now=now)
    late = [state.name for state in states if state.late and not state.failed]
    if late:
        yield Diagnosis(
            f"{', '.join(late)} did not run when due", "see whether worker and beat run, and the worker's log"
        )
    for state in states:
        if state.failed:
            yield Diagnosis(f"{state.name} failed when it last ran, at {state.failed_at:%Y-%m-%d %H:%M} UTC", _LOG)
    for name, count in skipped_record(state.name for state in states).items():
        if count:
            yield Diagnosis(f"{name} leaves out {count} records that it cannot work on", _LOG)


def examine_messages(now: datetime) -> Iterator[Diagnosis]:
    """Tell what could not leave, what waits for long, and whom no message can reach."""
    parked = Delivery.objects.filter(state=DeliveryState.PARKED)
    if count := parked.count():
        why = parked.order_by("-created_at", "-pk").values_list("last_error", flat=True)[0]
        yield Diagnosis(
            f"{count} messages are parked, the last because: {why or 'nothing is noted'}",
            "mend that, then `POST /api/v1/notices/parked-deliveries/retry` as administrator",
        )
    waiting = Delivery.objects.filter(state=DeliveryState.PENDING, created_at__lt=now - LONG)
    if count := waiting.count():
        yield Diagnosis(
            f"{count} messages wait for more than an hour", "see whether deliver_notifications runs, and its log"
        )
    nobody = list(people_without_address(now=now).order_by("name", "pk").values_list("name", flat=True)[:6])
    if nobody:
        more = " and others" if len(nobody) > 5 else ""  # noqa: PLR2004 - as many as a line holds
        yield Diagnosis(
            f"no message can reach {', '.join(nobody[:5])}{more}",
            "give them a mail address or a webhook: `GET /api/v1/people?has_address=false` lists all",
        )


_LOG = "see the worker's log for its name"
