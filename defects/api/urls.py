"""The addresses of what drivers find and what bars a unit."""

from django.urls import path
from django.urls.resolvers import URLPattern

from defects.api.walkarounds.views import WalkaroundView

urlpatterns: list[URLPattern] = [
    path("walkarounds/<uuid:key>", WalkaroundView.as_view(), name="walkaround"),
]
