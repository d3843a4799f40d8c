"""Keeps tokens out of logs: the address of a feed carries one, and an address is what logs are made of."""

import logging

from fleet.rules.tokens import SECRETS

MASK = "…"


class MaskTokens(logging.Filter):
    """Writes a mask where a message would show a token of a device, a feed or a signing link."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every record through, masked."""
        text = record.getMessage()
        masked = SECRETS.sub(MASK, text)
        if masked != text:
            record.msg, record.args = masked, ()
        return True
