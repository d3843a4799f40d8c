"""Runs a real web process over a durable embedded PostgreSQL and prints each figure beside the floor's."""

import json
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from http.client import HTTPConnection
from itertools import count
from typing import Any

from config.env import CHECKOUT
from config.local.postgres import LocalPostgres, throwaway
from fixtures.scenario.client import Client, uuid7
from fixtures.scenario.walking import everything_fine

CLIENTS = 4
REQUESTS = int(os.environ.get("BENCH_REQUESTS", "200"))
PASSWORD = "ninefold-larder-lines"
UNITS = ("NL-15", "LR-45", "CU-45")
NOISE = iter(count(1))

Made = tuple[str, str, dict[str, Any], int]
"""Method, path, body, expected status."""


def signed(reports: list[dict[str, Any]]) -> dict[str, Any]:
    at = datetime.now(UTC)  # noqa: TID251 - a phone's clock
    signature = {"method": "drawn", "signed_at": at.isoformat(), "shown": "I sign."}
    begun = at - timedelta(minutes=20)
    return {
        "kind": "pre_trip",
        "started_at": begun.isoformat(),
        "finished_at": at.isoformat(),
        "coupled": True,
        "reports": reports,
        "signature": signature,
    }


def measure(address: str, token: str, make: Callable[[], Made]) -> list[float]:
    """Seconds of each request; a wrong status ends the run."""
    host, port = address.removeprefix("http://").split(":")
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}

    def work(requests: int) -> list[float]:
        line, taken = HTTPConnection(host, int(port), timeout=30), []
        for _ in range(requests):
            method, path, body, expected = make()
            key = {"Idempotency-Key": f'"{next(NOISE)}-{time.time_ns()}"'} if method == "POST" else {}
            begun = time.perf_counter()
            line.request(method, path, json.dumps(body) if method != "GET" else None, {**headers, **key})
            answer = line.getresponse()
            content = answer.read()
            taken.append(time.perf_counter() - begun)
            if answer.status != expected:
                raise SystemExit(f"{method} {path}: {answer.status}\n{content[:2000]!r}")
        return taken

    with ThreadPoolExecutor(CLIENTS) as pool:
        return [second for share in pool.map(work, [REQUESTS // CLIENTS] * CLIENTS) for second in share]


def run(address: str) -> list[tuple[str, float, float, float]]:
    iris, cal = Client(address, "iris"), Client(address, "cal")
    for person in (iris, cal):
        person.sign_in(person.name, PASSWORD)
    walk_list = iris.call("GET", f"/api/v1/walk?tractor={UNITS[0]}&trailer={UNITS[1]}")
    fine = {unit: answers[:20] for unit, answers in everything_fine(walk_list.body).items()}
    nothing = [{"unit": unit, "checks": fine[unit]} for unit in UNITS]
    tires = ("axle-1-left-outer", "axle-1-right-outer", "axle-2-left-outer", "axle-2-right-outer")
    points = ("tires.trailer.body", "tires.trailer.inflation-lamp", "lamps.trailer.socket", "body.roof-ice")
    bad = [{"point": points[0], "place": place, "answer": "defect"} for place in tires]
    bad += [{"point": point, "answer": "defect"} for point in points[2:]]
    found = [{"unit": unit, "checks": [*fine[unit], *(bad if unit == UNITS[1] else [])]} for unit in UNITS]
    once = (f"/api/v1/walkarounds/{uuid7(time.time_ns() // 1_000_000)}", signed(nothing))
    iris.call("PUT", once[0], once[1], expect=201)
    arrival = (datetime.now(UTC) + timedelta(hours=9)).isoformat()  # noqa: TID251 - a phone's clock

    def walk(reports: list[dict[str, Any]]) -> Made:
        return "PUT", f"/api/v1/walkarounds/{uuid7(time.time_ns() // 1_000_000)}", signed(reports), 201

    lines = {"name": "parent", "lines": [{"text": f"line {number}"} for number in range(5)]}
    cases: list[tuple[str, str, Callable[[], Made]]] = [
        ("floor: a parent with five rows", iris.token, lambda: ("POST", "/floor", lines, 201)),
        ("walk-around, three units, 60 answers", iris.token, lambda: walk(nothing)),
        (f"the same with {len(bad)} findings", iris.token, lambda: walk(found)),
        ("the same sent again", iris.token, lambda: ("PUT", *once, 200)),
        (
            "clearance of three units",
            cal.token,
            lambda: ("POST", "/api/v1/clearances", {"units": list(UNITS[:2]), "arrival": arrival}, 201),
        ),
        ("page of the yard, 20 units", cal.token, lambda: ("GET", "/api/v1/yard", {}, 200)),
    ]
    figures = []
    for name, token, make in cases:
        measure(address, token, make)  # warm
        begun = time.perf_counter()
        taken = sorted(measure(address, token, make))
        rate = len(taken) / (time.perf_counter() - begun)
        figures.append((name, rate, statistics.median(taken) * 1000, taken[int(len(taken) * 0.99) - 1] * 1000))
    return figures


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, LocalPostgres(throwaway(durable=True)) as postgres:
        variables = {
            **os.environ,
            "DATABASE_URL": postgres.owner.url(),
            "DJANGO_SETTINGS_MODULE": "tests.benchmarks.settings",
            "SECRET_KEY": "of a benchmark alone, which ends with its database, and long enough",
            "ALLOWED_HOSTS": "127.0.0.1",
            "MEDIA_ROOT": folder,
            "HISTORY_DIGEST_DIR": folder,
            "LOCAL_DEMO": "1",
            "LOG_LEVEL": "ERROR",
        }

        def manage(*words: str) -> str:
            command = [sys.executable, "manage.py", *words]
            return subprocess.run(
                command, cwd=CHECKOUT, env=variables, check=True, text=True, capture_output=True
            ).stdout

        manage("migrate", "--run-syncdb", "--no-input", "--verbosity=0")
        manage("load_demo")
        with socket.create_server(("127.0.0.1", 0)) as door:
            address = f"http://127.0.0.1:{door.getsockname()[1]}"
            words = ["-m", "gunicorn", "--config=python:config.gunicorn", f"--bind=fd://{door.fileno()}", "--workers=2"]
            words += ["--log-level=error", "config.wsgi"]
            web = subprocess.Popen(
                [sys.executable, *words],
                cwd=CHECKOUT,
                env=variables,
                pass_fds=[door.fileno()],
                stderr=subprocess.DEVNULL,
            )
            try:
                with urllib.request.urlopen(f"{address}/livez", timeout=30):
                    figures = run(address)
            finally:
                web.terminate()
                web.wait(30)
        counted = ("Parent", "Line", "Walkaround", "Report", "Clearance")
        asked = "from tests.benchmarks.floor.models import *; from defects.models import *; "
        asked += f"print('ROWS', {', '.join(f'{name}.objects.count()' for name in counted)})"
        rows = [int(word) for word in manage("shell", "-c", asked).split("ROWS")[1].split()]
    sent = 2 * (REQUESTS // CLIENTS) * CLIENTS
    if rows != [sent, 5 * sent, 2 * sent + 1, 3 * (2 * sent + 1), sent]:
        raise SystemExit(f"rows do not match what was answered: {rows}, {sent} requests each")
    floor = figures[0][1]
    say = sys.stdout.write
    say(f"{CLIENTS} clients, 2 web processes, {REQUESTS} requests each; every answer checked, rows counted\n")
    for name, rate, median, slowest in figures:
        say(f"{name:<40}{rate:8.0f}/s {rate / floor:6.2f} of the floor   p50 {median:6.1f} ms   p99 {slowest:6.1f} ms")


if __name__ == "__main__":
    main()
