"""Processor time of a service, its web processes and its sessions in the database, as the kernel counts it (Linux).

It is less disturbed by what else runs on the machine than the time on the clock, and it is what hosts are paid for.
"""

from pathlib import Path

import psycopg

from config.database_url import Database


def web_s(master: int) -> dict[int, float]:
    """Seconds that each worker of this gunicorn has used."""
    workers = Path(f"/proc/{master}/task/{master}/children").read_text("ascii").split()
    return {int(pid): _used_s(int(pid)) for pid in workers}


def database_s(superuser: Database, web: Database) -> dict[int, float]:
    """Seconds that each session of the web processes has used."""
    with psycopg.connect(superuser.url()) as connection:
        rows = connection.execute(
            "SELECT pid FROM pg_stat_activity WHERE datname = %s AND usename = %s", [web.name, web.user]
        ).fetchall()
    return {pid: _used_s(pid) for (pid,) in rows}


def added(before: dict[int, float], after: dict[int, float]) -> float:
    """Seconds from one reading to the next; the run ends where a process went in between and took its count along."""
    if gone := before.keys() - after.keys():
        raise SystemExit(f"processes ended while they were measured: {sorted(gone)}")
    return sum(after.values()) - sum(before.values())


def _used_s(pid: int) -> float:
    """Its utime and stime; in nanoseconds here, where /proc/PID/stat rounds them to hundredths."""
    return int(Path(f"/proc/{pid}/schedstat").read_text("ascii").split()[0]) / 1e9
