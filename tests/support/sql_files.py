"""The database's functions and triggers as files: `make sql` writes them, a test compares them.

A file `<app>/sql/<function>.sql` holds a function as it is now, whichever migrations made it so, and the triggers that
call it.
"""

import os
import re
from collections import defaultdict
from pathlib import Path

import django
from django.apps import apps
from django.core.management import call_command
from django.db import connection

from config.env import CHECKOUT

FUNCTIONS = """
SELECT proname, pg_get_functiondef(pg_proc.oid)
FROM pg_proc JOIN pg_namespace ON pg_namespace.oid = pronamespace
WHERE nspname = 'public'
  AND NOT EXISTS (SELECT FROM pg_depend WHERE objid = pg_proc.oid AND deptype = 'e')
ORDER BY proname, pg_get_function_identity_arguments(pg_proc.oid)
"""
TRIGGERS = """
SELECT proname, pg_get_triggerdef(pg_trigger.oid)
FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid
WHERE NOT tgisinternal
ORDER BY tgrelid::regclass::text, tgname
"""


def in_database() -> dict[str, str]:
    """Each function's name, and its file's content as the database has it."""
    found: dict[str, list[str]] = defaultdict(list)
    with connection.cursor() as cursor:
        cursor.execute(FUNCTIONS)
        for name, definition in cursor.fetchall():
            found[name].append(definition.rstrip() + ";\n")
        cursor.execute(TRIGGERS)
        for name, definition in cursor.fetchall():
            found[name].append(definition + ";\n")
    return {name: "\n".join(parts) for name, parts in found.items()}


def in_files() -> dict[str, str]:
    """Each file's name without ending, and what it holds; ValueError where two have one name."""
    files = sorted(CHECKOUT.glob("*/sql/*.sql"))
    held = {file.stem: file.read_text(encoding="utf-8") for file in files}
    if len(held) < len(files):
        raise ValueError("one function stands in two files")
    return held


def write() -> None:
    """Write every file anew, each below the app whose migration made its function first."""
    for file in CHECKOUT.glob("*/sql/*.sql"):
        file.unlink()
    for name, content in in_database().items():
        file = _home(name) / "sql" / f"{name}.sql"
        file.parent.mkdir(exist_ok=True)
        file.write_text(content, encoding="utf-8")


def _home(function: str) -> Path:
    made = re.compile(rf"\bFUNCTION {function}\(")
    for label in ("fleet", "defects", "workorders"):
        app = Path(apps.get_app_config(label).path)
        if any(made.search(file.read_text(encoding="utf-8")) for file in app.glob("migrations/*.py")):
            return app
    raise LookupError(f"no migration makes {function}")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings.test")
    django.setup()
    call_command("migrate", verbosity=0)
    write()
