"""What an owner who works alone does at the server's console: a role of one's own, a lift without a second person."""

import io
from pathlib import Path

import pytest
import time_machine
from django.core.management import CommandError, call_command

from common.errors import NotAllowed
from fleet.enums import Role
from fleet.models import Person, Policy
from fleet.services.carrier.policies import set_policy
from tests.factories.fleet import NOON, TODAY, make_carrier, make_person, make_site, make_unit
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db
WHY = "nobody else works here"
LIFT = "small_carrier_lift"


@pytest.fixture
def owner() -> Person:
    return make_person("Ola Finch", Role.ADMINISTRATOR, username="ola")


def run(command: str, *arguments: str) -> str:
    out = io.StringIO()
    with time_machine.travel(NOON, tick=False):
        call_command(command, *arguments, stdout=out)
    return out.getvalue()


def test_superuser__is_nobody_here_and_what_to_use_is_said() -> None:
    with pytest.raises(CommandError, match="found_carrier"):
        run("createsuperuser", "--noinput")


def test_lost_password__is_given_anew_from_a_pipe_or_refused_in_words(
    owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    for password, why in (("short", "too short"), ("olaolaolaola", "few different")):
        monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))
        with pytest.raises(CommandError, match=why):
            run("changepassword", "ola")
    with pytest.raises(CommandError, match="nobody signs in as hob"):
        run("changepassword", "hob")
    monkeypatch.setattr("sys.stdin", io.StringIO("a long way to River Dock\n"))
    assert "signed out everywhere" in run("changepassword", "OLA")
    owner.refresh_from_db()
    assert owner.check_password("a long way to River Dock")
    assert owner.sign_in_given


def decide(actor: Person, *, value: object = True) -> Policy:
    return set_policy(key=LIFT, value=value, valid_from=None, reason="", actor=actor, now=NOON)


def test_sole_administrator__gives_oneself_a_role_that_is_flagged(owner: Person) -> None:
    site = make_site()
    said = run("grant_role", "ola", "foreman", "--site", site.code, "--by", "ola", "--reason", WHY)
    role = owner.roles.get(role=Role.FOREMAN)
    assert (role.site, role.starts_on, role.granted_by, role.granted_at) == (site, TODAY, owner, NOON)
    assert role.console_reason == WHY
    assert "flagged" in said


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (("ola", "foreman", "--by", "hob", "--reason", WHY), "Your role"),
        (("ola", "foreman", "--by", "nobody", "--reason", WHY), "nobody signs in"),
        (("ola", "foreman", "--by", "ola", "--reason", " "), "say why"),
        (("ola", "foreman", "--by", "ola", "--reason", WHY, "--site", "NOWHERE"), "no site"),
        (("ola", "administrator", "--by", "ola", "--reason", WHY), "holds this role"),
    ],
)
def test_role_at_the_console__is_refused_as_through_the_api(
    owner: Person, arguments: tuple[str, ...], why: str
) -> None:
    make_person("Hob Anselm", Role.FOREMAN, username="hob")
    with pytest.raises(CommandError, match=why):
        run("grant_role", *arguments)
    assert owner.roles.count() == 1


def test_lift_without_a_second_person__is_not_decided_by_the_foreman_who_would_lift() -> None:
    both = make_person("Ola Finch", Role.ADMINISTRATOR, Role.FOREMAN, username="ola")
    with refused(NotAllowed, "policy_decides_for_oneself"):
        decide(both)
    assert not Policy.objects.exists()
    run("set_policy", LIFT, "true", "--by", "ola", "--reason", WHY)
    policy = Policy.objects.get(value=True)
    assert (policy.from_console, policy.reason, policy.set_by) == (True, WHY, both)


def test_second_person_asked_for_again__is_decided_by_anybody_of_the_office() -> None:
    both = make_person("Ola Finch", Role.ADMINISTRATOR, Role.FOREMAN, username="ola")
    assert decide(both, value=False).value is False


def test_lift_without_a_second_person__is_decided_by_somebody_else(owner: Person) -> None:
    assert decide(owner).from_console is False


@pytest.mark.parametrize(
    ("key", "value", "by", "why"),
    [
        (LIFT, "yes", "ola", "no JSON"),
        (LIFT, "3", "ola", "true or false"),
        ("no_such_key", "true", "ola", "There is no policy"),
        (LIFT, "true", "hob", "none of the roles"),
    ],
)
def test_policy_at_the_console__is_refused_in_words(owner: Person, key: str, value: str, by: str, why: str) -> None:
    make_person("Hob Anselm", Role.FOREMAN, username="hob")
    with pytest.raises(CommandError, match=why):
        run("set_policy", key, value, "--by", by, "--reason", WHY)
    assert not Policy.objects.exists()


def test_decision_at_the_console_without_a_reason__is_refused(owner: Person) -> None:
    with pytest.raises(CommandError, match="say why"):
        run("set_policy", LIFT, "true", "--by", "ola", "--reason", " ")
    assert not Policy.objects.exists()


@pytest.mark.parametrize("command", [("export_rows", "{}"), ("export_file", "NL-12", "--out", "{}")])
def test_file_cannot_be_written__is_said_in_a_sentence(owner: Person, tmp_path: Path, command: tuple[str, ...]) -> None:
    make_carrier()
    make_unit(number="NL-12")
    nowhere = str(tmp_path / "no-such-folder" / "out.zip")
    with pytest.raises(CommandError, match="cannot be written: No such file or directory"):
        run(*(word.format(nowhere) for word in command))
