"""What the jobs of the drills deliver to, and the broker between their processes."""

from tests.support.broker import broker
from tests.support.mail_sink import mail_sink
from tests.support.post_sink import post_sink

__all__ = ["broker", "mail_sink", "post_sink"]
