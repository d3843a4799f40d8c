"""The certificate that the proxy shows: whether a client would trust it, and for how long."""

import socket
import ssl
from collections.abc import Iterator
from datetime import UTC, datetime

from fleet.management.doctor.diagnosis import Diagnosis

SOON_DAYS = 21
"""Before its end a certificate should have been renewed by itself. Our own figure."""
WAIT_S = 5.0
RENEW = "renew it and let the proxy read it anew: see Proxy and TLS"


def examine_certificate(host: str, now: datetime) -> Iterator[Diagnosis]:
    """Tell what a browser would say of `name` or `name:port`; a CA of one's own is named by SSL_CERT_FILE."""
    name, _, port = host.partition(":")
    try:
        with (
            socket.create_connection((name, int(port or 443)), timeout=WAIT_S) as reached,
            ssl.create_default_context().wrap_socket(reached, server_hostname=name) as secured,
        ):
            certificate = secured.getpeercert() or {}
    except ssl.SSLCertVerificationError as why:
        yield Diagnosis(f"the certificate of {host} is not trusted: {why.verify_message}", RENEW)
        return
    except (OSError, ValueError) as why:
        yield Diagnosis(
            f"{host} does not answer over TLS: {why}", "see whether the proxy runs and is reached from here"
        )
        return
    ends = datetime.fromtimestamp(ssl.cert_time_to_seconds(str(certificate["notAfter"])), UTC)
    days = (ends - now).days
    if days < SOON_DAYS:
        yield Diagnosis(f"the certificate of {host} ends on {ends:%Y-%m-%d}, in {days} days", RENEW)
