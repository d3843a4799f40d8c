"""The broker, which worker and beat talk through: whether it answers, asks for a password, and is emptied in time."""

from collections.abc import Iterator

import redis
from django.conf import settings

from fleet.management.doctor.diagnosis import Diagnosis

QUEUE = "jobs"
"""As in config/celery.py."""
MOST_WAITING = 50
"""The beat says nine things at once as it starts, and a worker takes each within seconds. Our own figure."""


def examine_broker() -> Iterator[Diagnosis]:
    """Tell why worker and beat do not hear of each other."""
    address = settings.REDIS_URL.rpartition("@")[2]
    try:
        with redis.Redis.from_url(settings.REDIS_URL, socket_timeout=3, socket_connect_timeout=3) as broker:
            broker.ping()
            waiting = int(broker.llen(QUEUE))
            locked = _asks_for_password(broker)
    except redis.AuthenticationError:
        yield Diagnosis(
            f"the broker at {address} refuses our password", "let REDIS_URL carry the password that Redis has"
        )
        return
    except redis.RedisError as why:
        yield Diagnosis(
            f"the broker at {address} does not answer: {why}",
            "start Redis or mend REDIS_URL; until then nobody is told of anything. The web process works on without it",
        )
        return
    if not locked:
        yield Diagnosis(
            f"the broker at {address} asks for no password",
            "set `requirepass` in Redis and the same password in REDIS_URL: who reaches it makes the worker work",
        )
    if waiting > MOST_WAITING:
        yield Diagnosis(f"{waiting} jobs wait in the broker", "see whether the worker runs, and its log")


def _asks_for_password(broker: "redis.Redis") -> bool:
    """Ask once more without ours."""
    given = broker.connection_pool.connection_kwargs
    without = {name: value for name, value in given.items() if name not in {"username", "password"}}
    pool = redis.ConnectionPool(connection_class=broker.connection_pool.connection_class, **without)
    try:
        with redis.Redis(connection_pool=pool) as stranger:
            stranger.ping()
    except redis.AuthenticationError:
        return True
    finally:
        pool.disconnect()
    return False
