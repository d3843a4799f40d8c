"""The addresses of version 1 of the API; each app names its own in `<app>.api.urls`."""

from django.urls import include, path
from django.urls.resolvers import URLPattern, URLResolver

app_name = "v1"
urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("fleet.api.urls")),
    path("", include("defects.api.urls")),
    path("", include("workorders.api.urls")),
]
