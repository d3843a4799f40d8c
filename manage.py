"""The command line of the service: a sentence when the environment does not say how to run, or the database refuses."""

import gc
import sys
from collections.abc import Sequence

import django
from django.core.management import execute_from_command_line

from config.env import choose_settings, or_exit
from fleet.management.refusals import refused_in_a_sentence


def main() -> None:
    """Run a management command; leave with 1 when the environment is incomplete."""
    choose_settings("config.settings.base")
    gc.disable()  # as in config/wsgi.py
    with or_exit():
        django.setup()
    gc.freeze()
    gc.enable()
    run(sys.argv)


def run(words: Sequence[str]) -> None:
    """Run the command that the words name, the program first; leave with 1 when it cannot be run."""
    with refused_in_a_sentence(traceback="--traceback" in words):
        execute_from_command_line(list(words))


if __name__ == "__main__":
    main()
