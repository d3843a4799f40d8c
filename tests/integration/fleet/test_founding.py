"""The first carrier and its administrator, recorded by command before anybody can sign in."""

import datetime as dt
import io

import pytest
import time_machine
from django.core.management import CommandError, call_command

from fleet.models import Carrier, Person
from fleet.selectors.sign_in import token_in_force
from tests.factories.fleet import make_token

pytestmark = pytest.mark.django_db
EVENING = dt.datetime(2026, 11, 26, 1, tzinfo=dt.UTC)
"""Wednesday the 25th, 19:00 in Chicago."""
PASSWORD = "a long way to River Dock"
NAMED = {"name": "Ninefold Larder Lines", "usdot": "0000000", "username": "Ada", "person": "Ada Min"}


def found(monkeypatch: pytest.MonkeyPatch, password: str = PASSWORD, **more: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))
    with time_machine.travel(EVENING, tick=False):
        call_command("found_carrier", **{**NAMED, **more}, stdout=io.StringIO())


def test_founded_in_the_evening__the_administrator_may_act_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch)

    ada = Person.objects.get(username="ada")
    _, token = make_token(ada, at=EVENING)
    held = token_in_force(token, now=EVENING)
    assert held is not None
    assert held.person.current_roles == {"administrator"}
    assert ada.check_password(PASSWORD)


def test_founded_twice_with_a_weak_password_or_no_zone__refused_and_nothing_recorded(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with pytest.raises(CommandError, match=r"too easy to guess\.\n/password: The password is too short"):
        found(monkeypatch, "short")
    with pytest.raises(CommandError, match="There is no such time zone"):
        found(monkeypatch, time_zone="America/River_Dock")
    with pytest.raises(CommandError, match="A USDOT number has digits only"):
        found(monkeypatch, usdot="x")
    assert (Carrier.objects.count(), Person.objects.count()) == (0, 0)
    found(monkeypatch)
    with pytest.raises(CommandError, match="recorded already"):
        found(monkeypatch)
    assert (Carrier.objects.count(), Person.objects.count()) == (1, 1)


def test_at_a_terminal__the_password_is_asked_for_and_not_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    monkeypatch.setattr("getpass.getpass", lambda prompt: asked.append(prompt) or PASSWORD)  # type: ignore[func-returns-value]
    terminal = io.StringIO()
    monkeypatch.setattr(terminal, "isatty", lambda: True)
    monkeypatch.setattr("sys.stdin", terminal)

    call_command("found_carrier", **NAMED, stdout=io.StringIO())

    assert asked == ["The administrator's password: "]
    assert Person.objects.get(username="ada").check_password(PASSWORD)
