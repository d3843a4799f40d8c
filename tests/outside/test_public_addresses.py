"""Addresses that webhooks may reach, against IANA's special-purpose address registries.

The blocks are those of the IPv4 and IPv6 Special-Purpose Address Registries (RFC 6890 and later registrations), of the
multicast registries and of RFC 4291, typed here from memory, each tried at its first and its last address.
"""

from ipaddress import ip_network

import pytest

from fleet.rules.notifications.webhooks import is_public

BLOCKS = """
    0.0.0.0/8 10.0.0.0/8 100.64.0.0/10 127.0.0.0/8 169.254.0.0/16 172.16.0.0/12 192.0.0.0/24 192.0.0.0/29 192.0.0.8/32
    192.0.0.9/32 192.0.0.10/32 192.0.0.170/32 192.0.0.171/32 192.0.2.0/24 192.31.196.0/24 192.52.193.0/24
    192.88.99.0/24 192.168.0.0/16 192.175.48.0/24 198.18.0.0/15 198.51.100.0/24 203.0.113.0/24 240.0.0.0/4
    255.255.255.255/32 224.0.0.0/4

    ::1/128 ::/128 ::/96 ::ffff:0:0/96 ::ffff:0:0:0/96 64:ff9b::/96 64:ff9b:1::/48 100::/64 100:0:0:1::/64 2001::/23
    2001::/32 2001:1::1/128 2001:1::2/128 2001:1::3/128 2001:2::/48 2001:3::/32 2001:4:112::/48 2001:10::/28
    2001:20::/28 2001:30::/28 2001:db8::/32 2002::/16 2620:4f:8000::/48 3fff::/20 5f00::/16 fc00::/7 fe80::/10
    fec0::/10 ff00::/8 ::/3 4000::/2 8000::/1
"""


@pytest.mark.parametrize("block", BLOCKS.split())
def test_special_block__not_public_from_its_first_address_to_its_last(block: str) -> None:
    network = ip_network(block)
    assert not is_public(str(network[0]))
    assert not is_public(str(network[-1]))


@pytest.mark.parametrize(
    "carrying", ["::8.8.8.8", "::ffff:8.8.8.8", "::ffff:0:8.8.8.8", "64:ff9b::8.8.8.8", "2002:808:808::1"]
)
def test_ipv4_carried_inside_ipv6__not_public_even_where_it_would_be(carrying: str) -> None:
    assert not is_public(carrying)


@pytest.mark.parametrize(
    "address",
    [
        "1.0.0.0", "9.255.255.255", "11.0.0.0", "100.63.255.255", "100.128.0.0", "126.255.255.255", "128.0.0.0",
        "172.15.255.255", "172.32.0.0", "192.0.1.0", "192.88.98.255", "192.88.100.0", "198.17.255.255", "198.20.0.0",
        "223.255.255.255", "8.8.8.8", "2001:200::", "2001:4860:4860::8888", "2001:db7:ffff::", "2001:db9::",
        "2003::", "3ffe:ffff::", "2000::", "2a00:1450:4001:80b::200e",
    ],
)  # fmt: skip
def test_neighbours_of_the_special_blocks__public(address: str) -> None:
    assert is_public(address)


@pytest.mark.parametrize("address", ["fe80::1%eth0", "fe80::1%8.8.8.8"])
def test_zone_of_a_link__does_not_hide_it(address: str) -> None:
    assert not is_public(address)


@pytest.mark.parametrize("text", ["", "dispatch.example", "8.8.8", "0x8080808", "134744072"])
def test_text_that_is_no_address__refused(text: str) -> None:
    with pytest.raises(ValueError, match="does not appear to be"):
        is_public(text)
