"""The command line of the service: one line per problem when the environment does not say how to run."""

import gc
import sys

import django
from django.core.management import execute_from_command_line

from config.env import choose_settings, or_exit


def main() -> None:
    """Run a management command; leave with 1 when the environment is incomplete."""
    choose_settings("config.settings.base")
    gc.disable()  # as in config/wsgi.py
    with or_exit():
        django.setup()
        gc.freeze()
        gc.enable()
        execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
