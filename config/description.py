"""The API's description at /openapi.yaml, made once in each process: making it takes two seconds of a processor."""

from django.http import HttpResponse
from django.utils.translation import get_language
from drf_spectacular.views import SpectacularAPIView
from rest_framework.request import Request
from rest_framework.response import Response

_made: dict[tuple[str, str | None], Response] = {}
"""By kind of document and language, of which there are few."""


class DescriptionView(SpectacularAPIView):
    """The description in the kind of document that was asked for."""

    def _get_schema_response(self, request: Request) -> HttpResponse:
        """Made once: it is the same for everybody, and nobody is asked who they are."""
        kind = request.accepted_renderer.media_type, get_language()
        if kind not in _made:
            answer: Response = super()._get_schema_response(request)  # type: ignore[no-untyped-call]  # the library's own
            _made[kind] = self.finalize_response(request, answer).render()
        made = _made[kind]
        headers = {name: made.headers[name] for name in ("Content-Type", "Content-Disposition")}
        return HttpResponse(made.content, headers=headers)
