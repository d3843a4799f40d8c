"""Running one thing in several threads that start together, each with a database connection of its own."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import TypeVar

from django.db import connections

T = TypeVar("T")


def at_once(count: int, run: Callable[[], T]) -> list[T]:
    """Return what each run returned; raises what one raised."""
    barrier = Barrier(count)

    def start() -> T:
        try:
            barrier.wait()
            return run()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(count) as pool:
        return [future.result() for future in [pool.submit(start) for _ in range(count)]]
