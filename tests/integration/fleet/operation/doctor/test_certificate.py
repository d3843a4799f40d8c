"""What the doctor says of the certificate that a real TLS server shows."""

import datetime as dt
import socket
import ssl
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from common import clock
from fleet.management.doctor.certificate import examine_certificate
from tests.support.needs import need_program
from tests.support.ports import free_port


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A key and a certificate for localhost, good for thirty days, in one file."""
    folder = tmp_path_factory.mktemp("tls")
    key, made = folder / "key.pem", folder / "cert.pem"
    subprocess.run(
        [
            *(need_program("openssl"), "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256"),
            *("-nodes", "-keyout", str(key), "-out", str(made), "-days", "30", "-subj", "/CN=localhost"),
            *("-addext", "subjectAltName=DNS:localhost"),
        ],
        check=True,
        capture_output=True,
    )
    made.write_bytes(key.read_bytes() + made.read_bytes())
    return made


@contextmanager
def shown(certificate: Path) -> Iterator[str]:
    """A server that shows the certificate to one caller; yields its address."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate)
    with socket.create_server(("127.0.0.1", 0)) as door:

        def answer() -> None:
            caller, _ = door.accept()
            with caller:
                try:
                    context.wrap_socket(caller, server_side=True).close()
                except OSError:
                    return  # a caller that does not trust us hangs up

        thread = threading.Thread(target=answer)
        thread.start()
        try:
            yield f"localhost:{door.getsockname()[1]}"
        finally:
            thread.join(10)


def test_certificate_is_trusted_and_lasts__nothing_is_wrong(certificate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
    with shown(certificate) as address:
        assert list(examine_certificate(address, clock.now())) == []


def test_certificate_ends_soon__said_when(certificate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
    with shown(certificate) as address:
        (only,) = examine_certificate(address, clock.now() + dt.timedelta(days=20))
    assert only.wrong.endswith("in 9 days")


def test_certificate_of_nobody_known__said(certificate: Path) -> None:
    with shown(certificate) as address:
        (only,) = examine_certificate(address, clock.now())
    assert "is not trusted: self-signed certificate" in only.wrong


def test_nobody_answers__said() -> None:
    (only,) = examine_certificate(f"localhost:{free_port()}", clock.now())
    assert "does not answer over TLS" in only.wrong
