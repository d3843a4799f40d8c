"""What the doctor says of a real Redis."""

import redis
from pytest_django import Settings

from fleet.management.doctor.broker import MOST_WAITING, QUEUE, examine_broker
from tests.support.broker import Broker
from tests.support.ports import free_port


def test_broker__open_then_locked_then_full(broker: Broker, settings: Settings) -> None:
    settings.REDIS_URL = broker.url
    (only,) = examine_broker()
    assert only.wrong == f"the broker at 127.0.0.1:{broker.port}/0 asks for no password".replace("at ", "at redis://")

    with redis.Redis(port=broker.port) as client:
        client.config_set("requirepass", "s3cret")
    settings.REDIS_URL = f"redis://:s3cret@127.0.0.1:{broker.port}/0"
    assert list(examine_broker()) == []

    settings.REDIS_URL = f"redis://:wrong@127.0.0.1:{broker.port}/0"
    (only,) = examine_broker()
    assert "refuses our password" in only.wrong
    assert "wrong@" not in str(only)

    settings.REDIS_URL = f"redis://:s3cret@127.0.0.1:{broker.port}/0"
    with redis.Redis(port=broker.port, password="s3cret") as client:
        client.rpush(QUEUE, *range(MOST_WAITING + 1))
    (only,) = examine_broker()
    assert only.wrong == f"{MOST_WAITING + 1} jobs wait in the broker"


def test_broker_is_away__said(settings: Settings) -> None:
    settings.REDIS_URL = f"redis://:s3cret@127.0.0.1:{free_port()}/0"
    (only,) = examine_broker()
    assert "does not answer" in only.wrong
    assert "s3cret" not in str(only)
