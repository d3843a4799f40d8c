"""Takes one CSV in, in a process of its own, and prints rows created, seconds and the most memory it held, in KB."""

import resource
import sys
import time
from pathlib import Path

import django

django.setup()

from common import clock  # noqa: E402 - after Django is set up
from fleet.api.imports.forms import forms  # noqa: E402
from fleet.api.imports.reading import read_rows  # noqa: E402
from fleet.enums import ImportMode, Role  # noqa: E402
from fleet.models import Person  # noqa: E402
from fleet.selectors.carrier.carrier import carriers_day, carriers_zone  # noqa: E402
from fleet.services.imports.run import Table, import_rows  # noqa: E402

table, file = Table(sys.argv[1]), Path(sys.argv[2])
actor = Person.objects.get(username="vera")
actor.current_roles = frozenset({Role.COMPLIANCE, Role.ADMINISTRATOR})
now = clock.now()
begun = time.perf_counter()
rows = read_rows(forms()[table], file.read_bytes(), declared="", zone=carriers_zone())
report = import_rows(
    what=table, rows=rows, mode=ImportMode.ALL_OR_NOTHING, actor=actor, now=now, today=carriers_day(now)
)
seconds = time.perf_counter() - begun
most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
sys.stdout.write(f"{report.counts['created']} {report.counts['changed']} {seconds} {most}\n")
