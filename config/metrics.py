"""Figures for a watching program, counted when they are asked for and at no other time.

They are rows of the database, so every process tells the same; how fast a process answers is the proxy's to tell.
"""

from collections.abc import Iterator

from django.http import HttpResponse
from drf_spectacular.utils import extend_schema
from prometheus_client import CollectorRegistry
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4, generate_latest
from rest_framework.renderers import BaseRenderer

from config.operation_figures import OperationFigures
from defects.enums import OPEN_DEFECT_STATES
from defects.models import Defect, Hold, Walkaround
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceView
from fleet.enums import Role
from fleet.models import Unit
from workorders.models import RepairOrder


class BusinessFigures:
    """Counts rows when it is collected; one statement for each figure."""

    def collect(self) -> Iterator[GaugeMetricFamily]:
        figures = {
            "units_in_service": ("Units that are not retired.", Unit.objects.filter(retired_on__isnull=True)),
            "walkarounds": ("Signed walk-arounds on record.", Walkaround.objects.all()),
            "defects_open": (
                "Defects neither repaired nor dismissed.",
                Defect.objects.filter(state__in=OPEN_DEFECT_STATES),
            ),
            "holds_active": ("Holds not lifted.", Hold.objects.filter(lifted_at__isnull=True)),
            "repair_orders_active": ("Repair orders to be done.", RepairOrder.objects.active()),
        }
        for name, (meaning, rows) in figures.items():
            yield GaugeMetricFamily(f"reefer_{name}", meaning, rows.count())


class PlainRenderer(BaseRenderer):
    """The text form of exposition; only so that a watching program's Accept header is met."""

    media_type = "text/plain"
    format = "txt"

    def render(self, data: object, *_: object) -> bytes:
        return bytes(data) if isinstance(data, bytes) else str(data).encode()


class MetricsView(ServiceView):
    """What a watching program asks for, with a device token of its own like everybody else."""

    roles = {"get": frozenset({Role.ADMINISTRATOR, Role.AUDITOR})}
    renderer_classes = (PlainRenderer,)

    @extend_schema(exclude=True)
    def get(self, request: ServiceRequest) -> HttpResponse:
        """The figures in the text form of Prometheus."""
        registry = CollectorRegistry()
        registry.register(BusinessFigures())
        registry.register(OperationFigures(request.now, request.token))
        return HttpResponse(generate_latest(registry), content_type=CONTENT_TYPE_PLAIN_0_0_4)
