"""The service's addresses, and the floor's."""

from django.urls import path

from config.urls import handler400, handler403, handler404, handler500
from config.urls import urlpatterns as service
from tests.benchmarks.floor.views import FloorView

__all__ = ["handler400", "handler403", "handler404", "handler500", "urlpatterns"]

urlpatterns = [*service, path("floor", FloorView.as_view())]
