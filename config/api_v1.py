"""The addresses of version 1 of the API; each app names its own in `<app>.api.urls`."""

from django.urls import include, path
from django.urls.resolvers import URLPattern, URLResolver

app_name = "v1"
_fleet = include("fleet.api.urls")  # read first: it registers the converters of all
urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("defects.api.urls")),  # addresses are tried in order: those that phones and dispatch ask most
    path("", _fleet),
    path("", include("workorders.api.urls")),
]
