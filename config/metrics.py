"""A few figures of the business for a watching program, counted when they are asked for and at no other time.

They are rows of the database, so every process tells the same; how fast a process answers is the proxy's to tell.
"""

from collections.abc import Iterator
from datetime import datetime

from django.conf import settings
from django.http import HttpResponse
from drf_spectacular.utils import extend_schema
from prometheus_client import CollectorRegistry
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4, generate_latest
from rest_framework.renderers import BaseRenderer

from defects.enums import OPEN_DEFECT_STATES
from defects.models import Defect, Hold, Walkaround
from fleet.api.base import ServiceView
from fleet.api.requests import ServiceRequest
from fleet.enums import DeliveryState, Role
from fleet.models import Delivery, Unit
from fleet.selectors.reach import people_without_address
from fleet.services.notices import passed_over
from fleet.sweep_states import sweep_states
from workorders.models import RepairOrder


class BusinessFigures:
    """Counts rows when it is collected; one statement for each figure."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def collect(self) -> Iterator[GaugeMetricFamily]:
        """Give every figure."""
        owed = Delivery.objects.filter(state=DeliveryState.OWED)
        parked = Delivery.objects.filter(state=DeliveryState.PARKED)
        oldest = (owed | parked).order_by("owed_at").values_list("owed_at", flat=True).first()
        overdue = 0.0 if oldest is None else max((self.now - oldest).total_seconds(), 0.0)
        figures = {
            "units_in_service": ("Units that are not retired.", Unit.objects.filter(retired_on__isnull=True).count()),
            "walkarounds": ("Signed walk-arounds on record.", Walkaround.objects.count()),
            "defects_open": ("Defects neither repaired nor dismissed.", _open_defects()),
            "holds_standing": ("Holds not lifted.", Hold.objects.filter(lifted_at__isnull=True).count()),
            "repair_orders_standing": ("Repair orders to be done.", RepairOrder.objects.standing().count()),
            "deliveries_owed": ("Messages not yet sent.", owed.count()),
            "deliveries_parked": (
                "Messages that failed again and again, tried only now and then.",
                parked.count(),
            ),
            "deliveries_overdue_seconds": ("How long ago the oldest unsent message was owed.", overdue),
            "people_without_address": (
                "People with a role whom no message can reach.",
                people_without_address(now=self.now).count(),
            ),
            "mail_server_set": ("Whether a mail server is set, so that letters can leave.", settings.MAIL_SERVER_SET),
        }
        for name, (meaning, value) in figures.items():
            yield GaugeMetricFamily(f"reefer_{name}", meaning, value)
        yield from self._sweeps()

    def _sweeps(self) -> Iterator[GaugeMetricFamily]:
        age = GaugeMetricFamily("reefer_sweep_age_seconds", "How long ago a sweep last ended well.", labels=["sweep"])
        late = GaugeMetricFamily("reefer_sweep_late", "Whether a sweep has not ended well when due.", labels=["sweep"])
        failed = GaugeMetricFamily("reefer_sweep_failed", "Whether a sweep's last run failed.", labels=["sweep"])
        over = GaugeMetricFamily(
            "reefer_sweep_passed_over", "Records that a sweep could not work on and left out.", labels=["sweep"]
        )
        states = sweep_states(now=self.now)
        counts = passed_over(state.name for state in states)
        for state in states:
            if state.ended_well_at is not None:
                age.add_metric([state.name], (self.now - state.ended_well_at).total_seconds())
            late.add_metric([state.name], state.late)
            failed.add_metric([state.name], state.failed)
            over.add_metric([state.name], counts[state.name])
        yield from (age, late, failed, over)


def _open_defects() -> int:
    return Defect.objects.filter(state__in=OPEN_DEFECT_STATES).count()


class PlainRenderer(BaseRenderer):
    """The text form of exposition; only so that a watching program's Accept header is met."""

    media_type = "text/plain"
    format = "txt"

    def render(self, data: object, *_: object) -> bytes:
        """Return bytes as they are."""
        return bytes(data) if isinstance(data, bytes) else str(data).encode()


class MetricsView(ServiceView):
    """What a watching program asks for, with a device token of its own like everybody else."""

    roles = {"get": frozenset({Role.ADMINISTRATOR, Role.AUDITOR})}
    renderer_classes = (PlainRenderer,)

    @extend_schema(exclude=True)
    def get(self, request: ServiceRequest) -> HttpResponse:
        """The figures in the text form of Prometheus."""
        registry = CollectorRegistry()
        registry.register(BusinessFigures(request.now))
        return HttpResponse(generate_latest(registry), content_type=CONTENT_TYPE_PLAIN_0_0_4)
