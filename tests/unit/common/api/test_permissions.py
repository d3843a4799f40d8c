"""Nobody may do what a view does not list; who may is decided by the roles in force alone."""

import pytest
from django.test import Client
from django.urls import path
from rest_framework.request import Request
from rest_framework.response import Response

from common.api.permissions import ANONYMOUS, ANY_ROLE
from common.api.views import ApiView, ApiViewSet
from tests.support.callers import HeaderAuthentication, signed_in

pytestmark = pytest.mark.urls(__name__)


class Plain(ApiView):
    """Lists nobody for DELETE."""

    authentication_classes = (HeaderAuthentication,)
    idempotency = "none"
    roles = {"get": ANY_ROLE, "post": frozenset({"foreman", "compliance"}), "put": ANONYMOUS, "patch": frozenset()}

    def get(self, request: Request) -> Response:
        return Response({"did": "get"})

    post = put = patch = delete = get


class Units(ApiViewSet):
    """Lists nobody for the action `retire`."""

    authentication_classes = (HeaderAuthentication,)
    idempotency = "none"
    roles = {"list": ANY_ROLE, "lift": frozenset({"foreman"})}

    def list(self, request: Request) -> Response:
        return Response({"did": "list"})

    def lift(self, request: Request) -> Response:
        return Response({"did": "lift"})

    def retire(self, request: Request) -> Response:
        return Response({"did": "retire"})


urlpatterns = [
    path("plain", Plain.as_view()),
    path("units", Units.as_view({"get": "list"})),
    path("lift", Units.as_view({"post": "lift"})),
    path("retire", Units.as_view({"post": "retire"})),
]

STRANGER: dict[str, str] = {}
WITHOUT_ROLES = signed_in("ana")
DRIVER = signed_in("ana", "driver")
FOREMAN = signed_in("ana", "foreman")
BOTH = signed_in("ana", "driver", "compliance")


@pytest.mark.parametrize(
    ("method", "address", "headers", "status"),
    [
        ("get", "/plain", STRANGER, 401),
        ("get", "/plain", WITHOUT_ROLES, 403),
        ("get", "/plain", DRIVER, 200),
        ("head", "/plain", STRANGER, 401),
        ("head", "/plain", DRIVER, 200),
        ("post", "/plain", STRANGER, 401),
        ("post", "/plain", DRIVER, 403),
        ("post", "/plain", FOREMAN, 200),
        ("post", "/plain", BOTH, 200),
        ("put", "/plain", STRANGER, 200),
        ("put", "/plain", WITHOUT_ROLES, 200),
        ("patch", "/plain", FOREMAN, 403),
        ("delete", "/plain", STRANGER, 401),
        ("delete", "/plain", FOREMAN, 403),
        ("options", "/plain", STRANGER, 405),
        ("options", "/plain", FOREMAN, 405),
        ("get", "/units", DRIVER, 200),
        ("head", "/units", DRIVER, 200),
        ("get", "/units", STRANGER, 401),
        ("options", "/units", FOREMAN, 405),
        ("post", "/lift", DRIVER, 403),
        ("post", "/lift", FOREMAN, 200),
        ("post", "/retire", FOREMAN, 403),
        ("put", "/units", STRANGER, 405),
        ("put", "/units", FOREMAN, 405),
        ("get", "/lift", FOREMAN, 405),
    ],
)
def test_each_method_and_caller__only_the_listed_roles(
    client: Client, method: str, address: str, headers: dict[str, str], status: int
) -> None:
    assert client.generic(method.upper(), address, headers=headers).status_code == status


def test_roles_listed_but_not_in_force__refused(client: Client) -> None:
    assert client.post("/lift", headers=signed_in("ana", "foreman_last_year")).json()["code"] == "role_not_allowed"
