"""The addresses of the whole service: version 1 of the API and what stands beside it."""

from django.urls import include, path
from django.urls.resolvers import URLPattern, URLResolver
from drf_spectacular.views import SpectacularSwaggerView

from common.api.plain_views import without_query
from config.description import DescriptionView
from config.metrics import MetricsView
from config.probes import livez, readyz

OPEN: dict[str, list[type]] = {"authentication_classes": [], "permission_classes": []}
"""The documentation asks nobody who they are."""

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/v1/", include("config.api_v1")),
    path("openapi.yaml", without_query(DescriptionView.as_view(**OPEN)), name="openapi"),
    path("docs", without_query(SpectacularSwaggerView.as_view(url_name="openapi", **OPEN)), name="docs"),
    path("livez", livez, name="livez"),
    path("readyz", readyz, name="readyz"),
    path("metrics", MetricsView.as_view(), name="metrics"),
    path("", include("common.api.urls")),
]

handler400 = "common.api.problem_pages.bad_request"
handler403 = "common.api.problem_pages.permission_denied"
handler404 = "common.api.problem_pages.page_not_found"
handler500 = "common.api.problem_pages.server_error"
