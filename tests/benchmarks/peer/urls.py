"""The peer's two addresses."""

from django.urls import path

from tests.benchmarks.peer.views import WalkaroundView, alive

urlpatterns = [path("livez", alive), path("walkarounds/<uuid:key>", WalkaroundView.as_view())]
