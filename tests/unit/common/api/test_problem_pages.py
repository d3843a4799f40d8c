"""Where the `type` of a problem leads, its meaning can be read."""

import html

import pytest
from django.test import Client

from common.messages import registered_codes, wording

pytestmark = pytest.mark.urls("common.api.urls")


def test_index__every_code_with_its_meaning_and_link(client: Client) -> None:
    response = client.get("/problems/")
    page = response.content.decode()
    assert (response.status_code, response.headers["Content-Type"]) == (200, "text/html; charset=utf-8")
    assert len(registered_codes()) > 50
    for code in registered_codes():
        assert f'<a href="/problems/{code}">{code}</a>' in page
        assert html.escape(str(wording(code).template)) in page


def test_page_of_each_code__its_meaning(client: Client) -> None:
    for code in registered_codes():
        response = client.get(f"/problems/{code}")
        assert response.status_code == 200
        assert html.escape(str(wording(code).template)) in response.content.decode()


def test_page_in_spanish__for_who_reads_spanish(client: Client) -> None:
    page = client.get("/problems/not_found", headers={"Accept-Language": "es"}).content.decode()
    assert '<html lang="es">' in page
    assert "No existe o usted no puede verlo." in page


def test_unknown_code__not_found(client: Client) -> None:
    response = client.get("/problems/no_such_code")
    assert (response.status_code, response.json()["code"]) == (404, "not_found")


def test_other_methods__not_possible(client: Client) -> None:
    for address in ("/problems/", "/problems/not_found"):
        response = client.post(address)
        assert (response.status_code, response.json()["code"]) == (405, "method_not_allowed")
        assert response.headers["Allow"] == "GET, HEAD"
