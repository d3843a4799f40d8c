"""The base of every view of the API: roles, query, versions, repetition and language are seen to before its handler."""

from collections.abc import Sequence
from typing import Any

from django.views import View
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView
from rest_framework.viewsets import GenericViewSet

from common.api.etags import expected_version
from common.api.filters import StrictFilterBackend, StrictQueryMixin
from common.api.idempotency import IdempotentMixin
from common.api.language import activate_for
from common.api.permissions import RoleMap, RolePermission, action_name


class ApiMixin(IdempotentMixin, StrictQueryMixin):
    """What both kinds of views share. A view lists `roles` for each action, else nobody may call it."""

    http_method_names = [name for name in View.http_method_names if name not in {"options", "trace"}]
    """`Allow` says what is answered: nothing is described by OPTIONS that is not in the OpenAPI document."""
    permission_classes: Sequence[type[BasePermission]] = (RolePermission,)
    roles: RoleMap = {}
    if_match: frozenset[str] = frozenset()
    """Actions that need If-Match; read the version with `common.api.etags.expected_version`."""

    def perform_authentication(self, request: Request) -> None:
        """Find out who asks, and speak the person's language from here on."""
        super().perform_authentication(request)
        activate_for(request.user)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Refuse before the handler what it could not answer."""
        super().initial(request, *args, **kwargs)
        if action_name(self, request) in self.if_match:
            expected_version(request)


class ApiView(ApiMixin, APIView):
    """A view with a handler per method; `roles` by lower-case method."""


class ApiViewSet(ApiMixin, GenericViewSet[Any]):
    """A view with actions over rows of one model; `roles` by action."""

    filter_backends = (StrictFilterBackend,)
