"""The mail server and the broker are this folder's alone."""

from tests.support.broker import broker
from tests.support.mail_sink import mail_sink

__all__ = ["broker", "mail_sink"]
