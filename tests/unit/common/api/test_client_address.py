"""Whose attempts are counted: the proxy's word is taken for it, nobody else's."""

import pytest
from django.test import RequestFactory
from pytest_django import Settings

from common.api.client_address import client_address

PROXY = "172.30.0.2"
CLIENT = "203.0.113.9"


@pytest.mark.parametrize(
    ("peer", "forwarded", "address"),
    [
        (PROXY, CLIENT, CLIENT),
        (PROXY, f"198.51.100.1, {CLIENT}", CLIENT),
        (PROXY, "", PROXY),
        ("172.30.0.3", CLIENT, "172.30.0.3"),
        (CLIENT, "198.51.100.1", CLIENT),
    ],
)
def test_forwarded_address__believed_from_the_proxy_alone(
    settings: Settings, peer: str, forwarded: str, address: str
) -> None:
    settings.TRUSTED_PROXIES = [PROXY]
    headers = {"X-Forwarded-For": forwarded} if forwarded else {}
    assert client_address(RequestFactory().get("/", headers=headers, REMOTE_ADDR=peer)) == address


def test_no_proxy__the_connection_s_address_counts(settings: Settings) -> None:
    settings.TRUSTED_PROXIES = []
    request = RequestFactory().get("/", headers={"X-Forwarded-For": "198.51.100.1"}, REMOTE_ADDR=CLIENT)
    assert client_address(request) == CLIENT
