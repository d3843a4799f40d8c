"""The base of every view of this service: device tokens, and one instant per request. The habits are common.api's."""

from typing import Any

from django.http import HttpRequest
from rest_framework.request import Request
from rest_framework.views import APIView

from common import clock
from common.api.views import ApiView, ApiViewSet
from fleet.api.authentication import DeviceTokenAuthentication
from fleet.api.requests import ServiceRequest


class TimedMixin(APIView):
    """Reads the clock once, when the request comes in, before anybody is asked who they are."""

    authentication_classes = (DeviceTokenAuthentication,)

    def initialize_request(self, request: HttpRequest, *_args: Any, **_kwargs: Any) -> Request:
        """Return the request with `now`."""
        made = ServiceRequest(
            request,
            parsers=self.get_parsers(),
            authenticators=self.get_authenticators(),
            negotiator=self.get_content_negotiator(),
            parser_context=self.get_parser_context(request),
        )
        made.now = clock.now()
        return made


class ServiceView(TimedMixin, ApiView):
    """A view with a handler for each method; handlers are given a `ServiceRequest`."""


class ServiceViewSet(ApiViewSet, TimedMixin):
    """A view with actions over rows of one model; handlers are given a `ServiceRequest`."""
