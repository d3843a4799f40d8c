"""Loads the demo carrier into an empty database. Refused outside a demo: its password is known to everybody."""

import logging
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from common import clock
from common.errors import DomainError
from fleet.demo_sign_ins import PASSWORD
from fleet.management.acting import worded
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.demo import load_demo


class Command(BaseCommand):
    """`manage.py load_demo`."""

    help = __doc__

    def handle(self, *_: Any, **__: Any) -> None:
        """Load it, or say why not."""
        if not settings.LOCAL_DEMO:
            raise CommandError("the demo is loaded only where LOCAL_DEMO is set")
        now = clock.now()
        logging.disable(logging.INFO)  # seventy security events of invented people would hide where to go
        try:
            load_demo(password=PASSWORD, today=carriers_day(now), now=now)
        except DomainError as error:
            raise worded(error, "en") from error
        finally:
            logging.disable(logging.NOTSET)
        self.stdout.write("Loaded the demo carrier.")
