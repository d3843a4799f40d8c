"""The system check finds each way in which a view can fail to say who may call it."""

import pytest
from django.core.checks import Error
from django.urls import URLPattern, URLResolver, include, path
from drf_spectacular.views import SpectacularAPIView
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from common.api.checks import role_faults, views_behind
from common.api.permissions import ANONYMOUS, ANY_ROLE
from common.api.views import ApiView, ApiViewSet
from common.apps import check_views


class Complete(ApiView):
    """As it should be."""

    idempotency = "none"
    roles = {"get": ANY_ROLE, "post": ANONYMOUS}

    def get(self, request: Request) -> Response:
        return Response()

    post = get


class Silent(Complete):
    """Says nothing about POST, and about DELETE without having it."""

    roles = {"get": frozenset({"driver"}), "delete": ANY_ROLE}


class Empty(Complete):
    """Lists nobody for GET."""

    roles = {"get": frozenset(), "post": ANY_ROLE}


class Unguarded(Complete):
    """Lets everybody in by another permission."""

    permission_classes = (AllowAny,)


class Forgetful(Complete):
    """Would keep answers for strangers."""

    idempotency = "required"


class Loose(APIView):
    """Not built on the base."""

    def get(self, request: Request) -> Response:
        return Response()


class Rows(ApiViewSet):
    """One action listed, one not, and a version wanted for one it has not."""

    roles = {"list": ANY_ROLE}
    if_match = frozenset({"replace"})

    def list(self, request: Request) -> Response:
        return Response()

    def retire(self, request: Request) -> Response:
        return Response()


def faults(*views: type[APIView]) -> list[str]:
    found = role_faults([path(f"{number}", view.as_view()) for number, view in enumerate(views)])
    return [fault.removeprefix(f"{__name__}.") for fault in found]


def test_complete_view__no_fault() -> None:
    assert faults(Complete) == []


@pytest.mark.parametrize(
    ("view", "found"),
    [
        (Silent, ["Silent does not say who may post", "Silent names roles for delete, which it has not"]),
        (Empty, ["Empty does not say who may get"]),
        (Unguarded, ["Unguarded is not guarded by RolePermission alone"]),
        (Forgetful, ["Forgetful cannot keep the answer of a caller it does not know"]),
        (Loose, ["Loose is no ApiView or ApiViewSet"]),
    ],
)
def test_incomplete_view__each_fault_named(view: type[APIView], found: list[str]) -> None:
    assert faults(view) == found


def test_view_set__judged_by_all_its_addresses_together() -> None:
    patterns: list[URLPattern | URLResolver] = [
        path("a", Rows.as_view({"get": "list"})),
        path("b/", include([path("c", Rows.as_view({"post": "retire"}))])),
    ]
    assert views_behind(patterns) == [(Rows, frozenset({"list", "retire"}))]
    assert role_faults(patterns) == [
        f"{__name__}.Rows does not say who may retire",
        f"{__name__}.Rows wants If-Match for replace, which it has not",
    ]


def test_views_of_libraries_and_plain_functions__left_alone() -> None:
    assert role_faults([path("a", SpectacularAPIView.as_view()), path("b", lambda request: Response())]) == []


urlpatterns = [path("silent", Silent.as_view())]


@pytest.mark.urls(__name__)
def test_system_check__an_error_for_each_fault_of_the_service() -> None:
    assert check_views(None) == [
        Error(f"{__name__}.Silent does not say who may post", id="common.E001"),
        Error(f"{__name__}.Silent names roles for delete, which it has not", id="common.E001"),
    ]
    assert check_views(["fleet"]) == []
