"""A throwaway authority and certificates that it signed, made by openssl, each good for a day."""

import subprocess
from dataclasses import dataclass
from pathlib import Path

from tests.support.needs import need_program


@dataclass(frozen=True)
class Authority:
    """Signs certificates in a folder; `certificate` is what a client must trust."""

    folder: Path

    @property
    def certificate(self) -> Path:
        return self.folder / "authority.pem"

    def sign_for(self, name: str) -> tuple[Path, Path]:
        """Return the certificate of a host name and its key."""
        certificate, key = self.folder / f"{name}.pem", self.folder / f"{name}.key"
        issuer = ["-CA", str(self.certificate), "-CAkey", str(self.folder / "authority.key")]
        _make(certificate, key, name, *issuer, "-addext", f"subjectAltName=DNS:{name}")
        return certificate, key


def make_authority(folder: Path) -> Authority:
    """Make one in a folder that is there."""
    made = Authority(folder)
    signs = ("-addext", "basicConstraints=critical,CA:TRUE", "-addext", "keyUsage=critical,keyCertSign")
    _make(made.certificate, folder / "authority.key", "Throwaway authority", *signs)
    return made


def _make(certificate: Path, key: Path, name: str, *more: str) -> None:
    new = ["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-noenc", "-days", "1"]
    where = ["-subj", f"/CN={name}", "-out", str(certificate), "-keyout", str(key), *more]
    subprocess.run([need_program("openssl"), *new, *where], check=True, capture_output=True)
