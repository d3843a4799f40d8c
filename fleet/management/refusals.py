"""What a command says when the database refuses or is away: one sentence, where Django would show a traceback."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DatabaseError, InterfaceError


@contextmanager
def refused_in_a_sentence(*, traceback: bool) -> Iterator[None]:
    """End the process with 1 and a sentence for what a command cannot help; `traceback` shows where as well."""
    try:
        yield
    except (DatabaseError, InterfaceError) as why:
        if traceback:
            raise
        first = str(why).strip().partition("\n")[0]
        sys.exit(f"The database refused: {first}. `manage.py doctor` says what is wrong and what to do.")
