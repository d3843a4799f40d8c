"""The addresses of the whole service: version 1 of the API, what stands beside it, and the pages."""

from django.urls import include, path
from django.urls.resolvers import URLPattern, URLResolver
from drf_spectacular.views import SpectacularSwaggerView

from common.api.plain_views import under_policy, without_query
from config.description import DescriptionView
from config.metrics import MetricsView
from config.probes import livez, readyz

OPEN: dict[str, list[type]] = {"authentication_classes": [], "permission_classes": []}
"""The documentation asks nobody who they are."""

DOCUMENTATION_POLICY = (
    "default-src 'self'; script-src 'self' 'unsafe-inline'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data:; object-src 'none'; base-uri 'none'; frame-ancestors 'none'"
)
"""The page of the API's documentation carries scripts and styles of its own inline."""
documentation = SpectacularSwaggerView.as_view(url_name="openapi", **OPEN)

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/v1/", include("config.api_v1")),
    path("openapi.yaml", without_query(DescriptionView.as_view(**OPEN)), name="openapi"),
    path("docs", under_policy(DOCUMENTATION_POLICY)(without_query(documentation)), name="docs"),
    path("livez", livez, name="livez"),
    path("readyz", readyz, name="readyz"),
    path("metrics", MetricsView.as_view(), name="metrics"),
    path("", include("common.api.urls")),
    path("", include("pages.urls")),
]

handler400 = "pages.problems.bad_request"
handler403 = "pages.problems.permission_denied"
handler404 = "pages.problems.page_not_found"
handler500 = "pages.problems.server_error"
