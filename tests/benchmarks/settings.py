"""The service's own settings, and the floor beside it."""

from config.settings.base import *  # noqa: F403 - the service as it is
from config.settings.base import INSTALLED_APPS as _APPS

INSTALLED_APPS = [*_APPS, "tests.benchmarks.floor"]
ROOT_URLCONF = "tests.benchmarks.urls"
