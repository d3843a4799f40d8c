"""Runs every module of `tests.benchmarks.cases`, or those named, and prints each figure beside its plain one.

`BENCH_REQUESTS` (200) says how long: each web figure takes so many requests, and cases over many rows scale with it.
"""

import os
import pkgutil
import sys
import tempfile
from importlib import import_module
from pathlib import Path

from config.local.postgres import LocalPostgres, throwaway
from tests.benchmarks import cases
from tests.benchmarks.bench import Bench, load_template

FULL = 200


def main(wanted: list[str]) -> None:
    """Measure; whatever is answered otherwise than expected ends the run."""
    say = sys.stdout.write
    requests = int(os.environ.get("BENCH_REQUESTS", str(FULL)))
    there = sorted(module.name for module in pkgutil.iter_modules(cases.__path__))
    if unknown := set(wanted) - set(there):
        raise SystemExit(f"no such case: {', '.join(sorted(unknown))}; there are {', '.join(there)}")
    with tempfile.TemporaryDirectory() as folder, LocalPostgres(throwaway(durable=True)) as postgres:
        load_template(postgres, Path(folder))
        for name in wanted or there:
            say(f"{name}\n")
            with Bench(postgres, name, Path(folder), requests=requests, share=requests / FULL) as bench:
                for figure in import_module(f"{cases.__name__}.{name}").measure(bench):
                    say(f"  {figure}\n")
                    sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1:])
