"""Secrets and addresses of webhooks: which may be recorded, and which are of the public network. Opens no connection.

The networks are from memory of IANA's IPv4 and IPv6 Special-Purpose Address Registries (RFC 6890 and what came
since); the test types them again. What the registries call reachable although it is special (anycast of AS112, of
automatic multicast tunnelling) is no receiver's either, and is left out.
"""

import base64
from ipaddress import IPv4Address, IPv4Network, IPv6Network, ip_address
from urllib.parse import urlsplit

SECRET_BYTES = 32


def secret_of(random: bytes) -> str:
    """A secret in the form of the open Standard Webhooks scheme (from memory of it), from random bytes."""
    return "whsec_" + base64.b64encode(random).decode()


def url_problem(url: str, *, private: bool) -> str | None:
    """The code of what is wrong with an address to post to: https with a host, and nothing secret in it.

    With `private`, plain http will do: the address may lie inside the carrier's own network.
    """
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        return "webhook_url_malformed"
    if parts.scheme not in ({"https", "http"} if private else {"https"}):
        return "webhook_not_https"
    if not parts.hostname or parts.username or parts.password or parts.fragment or port == 0:
        return "webhook_url_malformed"
    return None if url.isascii() and url.isprintable() and " " not in url else "webhook_url_malformed"


_ASSIGNED = IPv6Network("2000::/3")
"""What is given out for the public network (RFC 4291). Whatever carries an IPv4 address inside lies outside of it, but
for Teredo and 6to4."""

_SPECIAL_IPV6 = tuple(
    IPv6Network(block)
    for block in (
        "2001::/23",  # protocol assignments: Teredo, benchmarking, ORCHID …
        "2001:db8::/32",  # documentation
        "2002::/16",  # 6to4
        "2620:4f:8000::/48",  # AS112
        "3fff::/20",  # documentation
    )
)
_SPECIAL_IPV4 = tuple(
    IPv4Network(block)
    for block in (
        "0.0.0.0/8",  # this network
        "10.0.0.0/8",  # private
        "100.64.0.0/10",  # shared by the customers of a carrier
        "127.0.0.0/8",  # this machine
        "169.254.0.0/16",  # this link
        "172.16.0.0/12",  # private
        "192.0.0.0/24",  # protocol assignments
        "192.0.2.0/24",  # documentation
        "192.31.196.0/24",  # AS112
        "192.52.193.0/24",  # automatic multicast tunnelling
        "192.88.99.0/24",  # 6to4 relays
        "192.168.0.0/16",  # private
        "192.175.48.0/24",  # AS112
        "198.18.0.0/15",  # benchmarking
        "198.51.100.0/24",  # documentation
        "203.0.113.0/24",  # documentation
        "224.0.0.0/4",  # multicast
        "240.0.0.0/4",  # reserved, and broadcast
    )
)


def is_public(address: str) -> bool:
    """Whether an address is of the public network and carries no other inside. ValueError for what is no address."""
    found = ip_address(address.partition("%")[0])
    if isinstance(found, IPv4Address):
        return not any(found in block for block in _SPECIAL_IPV4)
    return found in _ASSIGNED and not any(found in block for block in _SPECIAL_IPV6)
