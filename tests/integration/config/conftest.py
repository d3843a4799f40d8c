"""The mail server that the sweeps of the fault drill deliver to."""

from tests.support.mail_sink import mail_sink

__all__ = ["mail_sink"]
