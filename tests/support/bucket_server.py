"""A small stand-in for an S3-compatible store on the loopback address, which checks what a real one checks.

Every request must be signed (Signature Version 4, header form) with the one key pair, over headers, query and the hash
of the body that was really sent; a checksum sent along must be that of the content. What does not fit is refused with
403 or 400, and nothing changes. After the published description of the signing process, in our own words and code.
"""

import hashlib
import hmac
import threading
from base64 import b64encode
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qsl, quote, unquote, urlsplit
from xml.sax.saxutils import escape

ACCESS_KEY, SECRET_KEY, REGION, BUCKET = "the-key", "the-secret-of-nobody", "us-east-1", "papers"


@dataclass
class BucketServer:
    """What lies in the bucket, and every request by method and outcome."""

    url: str = ""
    objects: dict[str, tuple[bytes, datetime]] = field(default_factory=dict)
    calls: list[tuple[str, int]] = field(default_factory=list)
    broken: bool = False

    def settings(self, **changes: str) -> dict[str, str]:
        """What FILE_BUCKET is to be."""
        keys = {"access_key": ACCESS_KEY, "secret_key": SECRET_KEY}
        return {"name": BUCKET, "endpoint": self.url, "region": REGION, **keys, **changes}


def signature(method: str, target: str, headers: dict[str, str], body_hash: str, scope: str, signed: list[str]) -> str:
    """The signature that a request of ours must carry."""
    parts = urlsplit(target)
    pairs = sorted(
        (quote(k, safe="-_.~"), quote(v, safe="-_.~")) for k, v in parse_qsl(parts.query, keep_blank_values=True)
    )
    lines = "".join(f"{name}:{' '.join(headers[name].split())}\n" for name in signed)
    query = "&".join(f"{name}={value}" for name, value in pairs)
    canonical = f"{method}\n{parts.path}\n{query}\n{lines}\n{';'.join(signed)}\n{body_hash}"
    hashed = hashlib.sha256(canonical.encode()).hexdigest()
    text = f"AWS4-HMAC-SHA256\n{headers['x-amz-date']}\n{scope}\n{hashed}"
    key = f"AWS4{SECRET_KEY}".encode()
    for part in scope.split("/"):
        key = hmac.new(key, part.encode(), hashlib.sha256).digest()
    return hmac.new(key, text.encode(), hashlib.sha256).hexdigest()


class Handler(BaseHTTPRequestHandler):
    """Answers one request."""

    store: BucketServer
    protocol_version = "HTTP/1.1"

    def answer(self, status: int, content: bytes = b"", **headers: str) -> None:
        self.store.calls.append((self.command, status))
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name.replace("_", "-"), value)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def refuse(self, status: int, code: str) -> None:
        self.answer(status, f"<Error><Code>{code}</Code></Error>".encode(), Content_Type="application/xml")

    def serve(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        if self.store.broken:
            self.refuse(500, "InternalError")
        elif not self.is_signed(body):
            self.refuse(403, "SignatureDoesNotMatch")
        elif not urlsplit(self.path).path.startswith(f"/{BUCKET}"):
            self.refuse(404, "NoSuchBucket")
        else:
            key = unquote(urlsplit(self.path).path).removeprefix(f"/{BUCKET}").lstrip("/")
            getattr(self, f"on_{self.command.lower()}")(key, body)

    do_GET = do_HEAD = do_PUT = do_DELETE = serve  # noqa: N815

    def is_signed(self, body: bytes) -> bool:
        headers = {name.lower(): value for name, value in self.headers.items()}
        scheme, _, rest = headers.get("authorization", "").partition(" ")
        fields = dict(part.strip().split("=", 1) for part in rest.split(",") if "=" in part)
        if scheme != "AWS4-HMAC-SHA256" or not fields.keys() >= {"Credential", "SignedHeaders", "Signature"}:
            return False
        key, _, scope = fields["Credential"].partition("/")
        signed, body_hash = fields["SignedHeaders"].split(";"), hashlib.sha256(body).hexdigest()
        if key != ACCESS_KEY or not {"host", "x-amz-date", "x-amz-content-sha256"} <= set(signed):
            return False
        wanted = signature(self.command, self.path, headers, body_hash, scope, signed)
        fits = headers["x-amz-content-sha256"] == body_hash
        return fits and hmac.compare_digest(wanted, fields["Signature"])

    def on_put(self, key: str, body: bytes) -> None:
        checksum = b64encode(hashlib.sha256(body).digest()).decode()
        if self.headers.get("x-amz-checksum-sha256") != checksum:
            self.refuse(400, "BadDigest")
            return
        self.store.objects[key] = (body, datetime.now(UTC))  # noqa: TID251 - the stand-in's own clock
        self.answer(200, ETag=f'"{hashlib.md5(body, usedforsecurity=False).hexdigest()}"')

    def on_get(self, key: str, body: bytes) -> None:
        if not key:
            self.listed(dict(parse_qsl(urlsplit(self.path).query)))
        elif key in self.store.objects:
            self.answer(200, self.store.objects[key][0])
        else:
            self.refuse(404, "NoSuchKey")

    on_head = on_get

    def on_delete(self, key: str, body: bytes) -> None:
        self.store.objects.pop(key, None)
        self.answer(204)

    def listed(self, query: dict[str, str]) -> None:
        """Two keys a page, so that whoever reads the list must go on."""
        there = sorted(key for key in self.store.objects if key.startswith(query.get("prefix", "")))
        left = [key for key in there if key > query.get("continuation-token", "")]
        page, more = left[:2], len(left) > 2
        rows = "".join(
            f"<Contents><Key>{escape(key)}</Key><LastModified>"
            f"{self.store.objects[key][1]:%Y-%m-%dT%H:%M:%S.000Z}</LastModified></Contents>"
            for key in page
        )
        onward = f"<NextContinuationToken>{escape(page[-1])}</NextContinuationToken>" if more else ""
        head = f"<IsTruncated>{str(more).lower()}</IsTruncated>{onward}"
        text = f"<ListBucketResult>{head}{rows}</ListBucketResult>"
        self.answer(200, text.encode(), Content_Type="application/xml")

    def log_message(self, *_: Any) -> None:
        """Say nothing."""


@contextmanager
def bucket_server() -> Iterator[BucketServer]:
    """A running stand-in, empty at first."""
    made = BucketServer()
    with ThreadingHTTPServer(("127.0.0.1", 0), type("Bound", (Handler,), {"store": made})) as http:
        made.url = f"http://127.0.0.1:{http.server_address[1]}"
        thread = threading.Thread(target=http.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
        thread.start()
        try:
            yield made
        finally:
            http.shutdown()
            thread.join()
