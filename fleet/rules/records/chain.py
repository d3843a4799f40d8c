"""The arithmetic of a unit's history: what a link's hashes are made of. Storing and locking live in services."""

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

from common.canonical import canonical_json

GENESIS = bytes(32)
"""What the first link of every unit follows: thirty-two zero bytes."""


@dataclass(frozen=True)
class Link:
    """One history entry without its words; instants are aware, hashes are SHA-256 digests of 32 bytes."""

    unit: UUID
    sequence: int
    kind: str
    subject: UUID | None
    performed_at: datetime
    recorded_at: datetime
    actor: UUID | None
    content_hash: bytes
    previous_hash: bytes


def content_hash(salt: bytes, body: str) -> bytes:
    """The hash of an entry's words with their salt, so that removed words cannot be guessed from their hash."""
    return hashlib.sha256(salt + body.encode()).digest()


def entry_hash(link: Link) -> bytes:
    """The hash of a link over its subject, sequence, kind, times, actor, content and the link before."""
    return hashlib.sha256(
        canonical_json(
            {
                "unit": link.unit,
                "sequence": link.sequence,
                "kind": link.kind,
                "subject": link.subject,
                "performed_at": link.performed_at.astimezone(UTC),
                "recorded_at": link.recorded_at.astimezone(UTC),
                "actor": link.actor,
                "content": link.content_hash.hex(),
                "previous": link.previous_hash.hex(),
            }
        )
    ).digest()
