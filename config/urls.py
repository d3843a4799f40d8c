"""The addresses of the whole service: version 1 of the API and what stands beside it."""

from django.urls import include, path
from django.urls.resolvers import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/v1/", include("config.api_v1")),
]
