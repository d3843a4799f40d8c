"""The first carrier and its administrator, recorded by command before anybody can sign in."""

import csv
import datetime as dt
import io
from collections.abc import Iterator

import pytest
import time_machine
from django.core.management import CommandError, call_command

from fleet.enums import Role
from fleet.models import Carrier, Person
from fleet.selectors.people.sign_in import token_in_force
from tests.factories.fleet import make_person, make_token

pytestmark = pytest.mark.django_db
EVENING = dt.datetime(2026, 11, 26, 1, tzinfo=dt.UTC)
"""Wednesday the 25th, 19:00 in Chicago."""
PASSWORD = "a long way to River Dock"
NAMED = {
    "name": "Ninefold Larder Lines",
    "usdot": "0000000",
    "username": "Ada",
    "person": "Ada Min",
    "email": "ada@ninefold.example",
}


def found(monkeypatch: pytest.MonkeyPatch, password: str = PASSWORD, **more: str) -> str:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))
    with time_machine.travel(EVENING, tick=False):
        out = io.StringIO()
        call_command("found_carrier", **{**NAMED, **more}, stdout=out)
    return out.getvalue()


def test_founded_in_the_evening__the_administrator_may_act_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    said = found(monkeypatch)

    assert "Ada Min signs in as ada:" in said
    assert "Onboarding a carrier" in said
    ada = Person.objects.get(username="ada")
    assert ada.email == "ada@ninefold.example"
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
    with pytest.raises(CommandError, match="nobody is no mail address"):
        found(monkeypatch, email="nobody")
    assert (Carrier.objects.count(), Person.objects.count()) == (0, 0)
    found(monkeypatch)
    with pytest.raises(CommandError, match="recorded already"):
        found(monkeypatch)
    assert (Carrier.objects.count(), Person.objects.count()) == (1, 1)


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """What is typed at the terminal, line by line, passwords among it; what is asked stands at the end in its place."""
    lines: list[str] = []
    asked: list[str] = []

    def answer(prompt: str) -> str:
        asked.append(prompt)
        return lines.pop(0)

    terminal = io.StringIO()
    monkeypatch.setattr(terminal, "isatty", lambda: True)
    monkeypatch.setattr("sys.stdin", terminal)
    monkeypatch.setattr("builtins.input", answer)
    monkeypatch.setattr("getpass.getpass", lambda prompt: answer(f"unseen: {prompt}"))
    yield lines
    lines[:] = asked


def test_at_a_terminal__what_is_missing_is_asked_for_and_the_password_twice_unseen(typed: list[str]) -> None:
    typed += ["Ninefold Larder Lines", "", "0000000", "", "Ada Min", "Ada", "", PASSWORD, PASSWORD]
    call_command("found_carrier", stdout=io.StringIO())
    assert typed == []
    assert Person.objects.get(username="ada").check_password(PASSWORD)
    assert Carrier.objects.get().time_zone == "America/Chicago"


def test_at_a_terminal__passwords_that_differ_are_refused(typed: list[str]) -> None:
    typed += ["America/Denver", PASSWORD, f"{PASSWORD}!"]
    with pytest.raises(CommandError, match="the two passwords differ"):
        call_command("found_carrier", **NAMED, stdout=io.StringIO())
    assert not Carrier.objects.exists()


def test_without_a_terminal__what_is_missing_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO())
    with pytest.raises(CommandError, match="give --username, and pipe the password in"):
        call_command("found_carrier", name="Larder", usdot="1", person="Ada Min", stdout=io.StringIO())


def made(monkeypatch: pytest.MonkeyPatch, username: str, **more: str) -> str:
    monkeypatch.setattr("sys.stdin", io.StringIO("the larder door stands open\n"))
    out = io.StringIO()
    with time_machine.travel(EVENING, tick=False):
        call_command("make_administrator", username, reason="Ada has left the country", **more, stdout=out)
    return out.getvalue()


def test_last_administrator_left__a_person_on_record_becomes_administrator(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    found(monkeypatch)
    vera = make_person("Vera Holt", Role.COMPLIANCE, username="vera")
    _row, token = make_token(vera, at=EVENING)

    said = made(monkeypatch, "VERA")

    vera.refresh_from_db()
    role = vera.roles.get(role=Role.ADMINISTRATOR)
    assert (role.starts_on, role.ends_on, role.granted_by) == (dt.date(2026, 11, 25), None, None)
    assert role.console_reason == "Ada has left the country"
    assert (vera.sign_in_given, vera.check_password("the larder door stands open")) == (True, True)
    assert token_in_force(token, now=EVENING) is None
    assert "flagged as given at the console" in said
    assert "role_given name=vera" in caplog.text
    assert "console=True" in caplog.text
    assert "larder door" not in caplog.text


def test_administrator_who_lost_the_way_in__keeps_the_role_and_gets_a_password(monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch)
    made(monkeypatch, "ada")
    ada = Person.objects.get(username="ada")
    assert ada.roles.count() == 1
    assert ada.sign_in_given


def test_nobody_is_left__somebody_new_becomes_administrator(monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch)
    with pytest.raises(CommandError, match="nobody signs in as nils; to add somebody, give --name as well"):
        made(monkeypatch, "nils")
    made(monkeypatch, "nils", name="Nils Faro")
    nils = Person.objects.get(username="nils")
    assert (nils.name, nils.sign_in_given, nils.roles.get().role) == ("Nils Faro", True, Role.ADMINISTRATOR)


def test_unsuitable_founder__does_not_become_administrator(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CommandError, match="not recorded yet"):
        made(monkeypatch, "ada", name="Ada Min")
    found(monkeypatch)
    make_person("Gone", username="gone", left_on=dt.date(2026, 1, 1))
    with pytest.raises(CommandError, match="This username is in use"):
        made(monkeypatch, "gone")
    with pytest.raises(CommandError, match="say why"):
        call_command("make_administrator", "nils", name="Nils", reason=" ", stdout=io.StringIO())
    assert Person.objects.filter(roles__role=Role.ADMINISTRATOR).count() == 1


def test_first_passwords__for_those_who_have_none_printed_once_and_to_be_changed(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    found(monkeypatch)
    tomo = make_person("Vell, Tomo", username="tomo")
    tomo.set_unusable_password()
    tomo.save()
    gone = make_person("Gone", username="gone", left_on=dt.date(2026, 1, 1))
    gone.set_unusable_password()
    gone.save()
    out, err = io.StringIO(), io.StringIO()

    with time_machine.travel(EVENING, tick=False):
        call_command("first_passwords", by="ada", stdout=out, stderr=err)

    head, row = csv.reader(out.getvalue().splitlines())
    assert head == ["name", "username", "password"]
    assert row[:2] == ["Vell, Tomo", "tomo"]
    tomo.refresh_from_db()
    assert (tomo.check_password(row[2]), tomo.sign_in_given) == (True, True)
    assert row[2] not in caplog.text
    assert "1 passwords given" in err.getvalue()
    out = io.StringIO()
    with time_machine.travel(EVENING, tick=False):
        call_command("first_passwords", by="ada", stdout=out, stderr=err)
    assert out.getvalue().splitlines() == ["name,username,password"]


def test_first_passwords_for_some__nobody_else_gets_one(monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch)
    for name in ("tomo", "iris"):
        person = make_person(name, username=name)
        person.set_unusable_password()
        person.save()
    out = io.StringIO()
    call_command("first_passwords", "Tomo", by="ada", stdout=out, stderr=io.StringIO())
    assert [line.partition(",")[0] for line in out.getvalue().splitlines()] == ["name", "tomo"]
    assert not Person.objects.get(username="iris").has_usable_password()
    with pytest.raises(CommandError, match="with a password already: nobody, tomo"):
        call_command("first_passwords", "tomo", "nobody", "iris", by="ada", stdout=io.StringIO())
    assert not Person.objects.get(username="iris").has_usable_password()


def test_first_passwords__are_given_by_administrators_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch)
    make_person("Vera Holt", Role.COMPLIANCE, username="vera")
    tomo = make_person("Tomo Vell", username="tomo")
    tomo.set_unusable_password()
    tomo.save()
    with pytest.raises(CommandError, match="role"):
        call_command("first_passwords", by="vera", stdout=io.StringIO())
    tomo.refresh_from_db()
    assert not tomo.has_usable_password()
