"""Figures of the service's own work for a watching program: messages, jobs, the queue, sign-ins, the release."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Q, Sum
from prometheus_client.core import GaugeMetricFamily

from common.release import RELEASE
from config.probes import readiness
from fleet.enums import DeliveryState
from fleet.models import Deletion, Delivery, DeviceToken, QueueReport, SignInAttempt
from fleet.selectors.notifications.addresses import people_without_address
from fleet.selectors.operation.job_states import job_states
from fleet.services.notifications.skipped_records import skipped_record
from fleet.services.people.sign_in_attempts import WINDOW

DAY = timedelta(days=1)


class OperationFigures:
    """Asks the database when it is collected; `token` is the one that the watching program came with."""

    def __init__(self, now: datetime, token: DeviceToken) -> None:
        self.now = now
        self.token = token

    def collect(self) -> Iterator[GaugeMetricFamily]:
        pending = Delivery.objects.filter(state=DeliveryState.PENDING)
        parked = Delivery.objects.filter(state=DeliveryState.PARKED)
        oldest = (pending | parked).order_by("created_at").values_list("created_at", flat=True).first()
        overdue = 0.0 if oldest is None else max((self.now - oldest).total_seconds(), 0.0)
        deleted = Deletion.objects.filter(deleted_at__gt=self.now - DAY)
        figures = {
            "deliveries_pending": ("Messages not yet sent.", pending.count()),
            "deliveries_parked": ("Messages that failed again and again, tried only now and then.", parked.count()),
            "deliveries_overdue_seconds": ("How long ago the oldest unsent message was created.", overdue),
            "people_without_address": (
                "People with a role whom no message can reach.",
                people_without_address(now=self.now).count(),
            ),
            "mail_server_set": ("Whether a mail server is set, so that mail can be sent.", settings.MAIL_SERVER_SET),
            "sign_ins_refused": ("Sign-ins refused in windows of 15 minutes that are not over.", self._refused()),
            "records_deleted_last_day": ("Records past their retention deleted in 24 hours.", deleted.count()),
            "migrations_outstanding": ("Migrations of this release that the database lacks.", len(readiness.missing())),
            "token_left_seconds": (
                "How long the token that asked for these figures lasts, however much it is used.",
                (self.token.ends_at - self.now).total_seconds(),
            ),
        }
        for name, (meaning, value) in figures.items():
            yield GaugeMetricFamily(f"reefer_{name}", meaning, value)
        release = GaugeMetricFamily("reefer_release", "Always 1; the label names the release.", labels=["release"])
        release.add_metric([RELEASE], 1)
        yield release
        yield from self._jobs()
        yield from self._queues()

    def _refused(self) -> int:
        """Every attempt is counted once by its address, or by its device where that is known."""
        counted = SignInAttempt.objects.filter(window_starts_at__gt=self.now - WINDOW)
        once = counted.filter(Q(subject__startswith="address") | Q(subject__startswith="device"))
        return once.aggregate(refused=Sum("failures"))["refused"] or 0

    def _jobs(self) -> Iterator[GaugeMetricFamily]:
        age = GaugeMetricFamily("reefer_job_age_seconds", "How long ago a job last ended well.", labels=["name"])
        late = GaugeMetricFamily("reefer_job_late", "Whether a job has not ended well when due.", labels=["name"])
        failed = GaugeMetricFamily("reefer_job_failed", "Whether a job's last run failed.", labels=["name"])
        over = GaugeMetricFamily(
            "reefer_job_skipped_records", "Records that a periodic job could not process and left out.", labels=["name"]
        )
        states = job_states(now=self.now)
        counts = skipped_record(state.name for state in states)
        for state in states:
            if state.ended_well_at is not None:
                age.add_metric([state.name], (self.now - state.ended_well_at).total_seconds())
            late.add_metric([state.name], state.late)
            failed.add_metric([state.name], state.failed)
            over.add_metric([state.name], counts[state.name])
        yield from (age, late, failed, over)

    def _queues(self) -> Iterator[GaugeMetricFamily]:
        waiting = GaugeMetricFamily(
            "reefer_queue_waiting", "Jobs in the broker when a worker last took one.", labels=["queue"]
        )
        waited = GaugeMetricFamily(
            "reefer_queue_waited_seconds", "How long the job waited that a worker last took.", labels=["queue"]
        )
        age = GaugeMetricFamily(
            "reefer_queue_report_age_seconds", "How long ago a worker last took a job.", labels=["queue"]
        )
        for report in QueueReport.objects.order_by("name"):
            waiting.add_metric([report.name], report.waiting)
            waited.add_metric([report.name], report.waited_s)
            age.add_metric([report.name], (self.now - report.reported_at).total_seconds())
        yield from (waiting, waited, age)
