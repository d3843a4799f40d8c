"""Signing in, how long it lasts, and how guessing is made slow."""

import datetime as dt
import logging

import pytest
from pytest_django import DjangoAssertNumQueries

from common.errors import Invalid, NotFound, NotSignedIn, TooOften
from common.ids import uuid7
from fleet.enums import Role
from fleet.models import DeviceToken, Person, SignInAttempt
from fleet.selectors.people.sign_in import token_in_force
from fleet.services.people.passwords import change_own_password
from fleet.services.people.people import set_password
from fleet.services.people.sign_in import create_token, revoke_token
from fleet.services.people.tokens import renew_token
from tests.factories.fleet import (
    HOUR,
    NOON,
    PersonRoleFactory,
    SignInAttemptFactory,
    make_carrier,
    make_person,
    make_token,
)
from tests.support.refusals import refused
from tests.support.security import told

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
PASSWORD = "a long way to River Dock"
STRANGER = "192.0.2.66"


@pytest.fixture
def ada() -> Person:
    person = make_person("Ada Brisk", Role.DRIVER, username="ada")
    person.set_password(PASSWORD)
    person.save()
    return person


def attempt(
    username: str = "ada",
    password: str = PASSWORD,
    address: str = "192.0.2.7",
    now: dt.datetime = NOON,
    sent_along: str = "",
) -> tuple[DeviceToken, str]:
    made = create_token(
        username=username, password=password, device="phone", address=address, sent_along=sent_along, now=now
    )
    return made.row, made.token


class TestToken:
    def test_right_password__gives_a_token_that_is_kept_hashed(self, ada: Person) -> None:
        row, token = attempt("Ada")
        assert token.startswith("rct_")
        assert len(token) == 47
        assert token.encode() not in bytes(row.token_hash)
        found = token_in_force(token, now=NOON)
        assert found is not None
        assert (found.pk, found.person_id) == (row.pk, ada.pk)
        assert found.person.current_roles == found.person.roles_at(uuid7()) == {Role.DRIVER}

    def test_two_devices__have_two_tokens(self, ada: Person) -> None:
        assert attempt()[1] != attempt()[1]
        assert ada.tokens.count() == 2

    def test_token__is_looked_up_in_one_statement(
        self, ada: Person, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        _, token = make_token(ada)
        with django_assert_num_queries(1):
            found = token_in_force(token, now=NOON)
        assert found is not None
        with django_assert_num_queries(0):
            assert found.person.current_roles == {Role.DRIVER}
            assert found.person.name == "Ada Brisk"

    def test_text_that_is_no_token__asks_nothing(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        with django_assert_num_queries(0):
            assert token_in_force("hello", now=NOON) is None

    @pytest.mark.parametrize(("after", "stands"), [(0, True), (90 * DAY - HOUR, True), (90 * DAY, False)])
    def test_unused_token__ends_after_90_days(self, ada: Person, after: dt.timedelta, stands: bool) -> None:
        _, token = make_token(ada)
        assert (token_in_force(token, now=NOON + (after or dt.timedelta())) is not None) is stands

    def test_used_token__lasts_longer_and_is_written_once_a_day(
        self, ada: Person, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        row, _ = make_token(ada)
        with django_assert_num_queries(0):
            renew_token(token=row, now=NOON + HOUR)
        with django_assert_num_queries(1):
            renew_token(token=row, now=NOON + DAY)
            renew_token(token=row, now=NOON + DAY + HOUR)
        row.refresh_from_db()
        assert row.expires_at == NOON + 91 * DAY

    def test_used_token__never_lasts_past_a_year(self, ada: Person) -> None:
        row, token = make_token(ada)
        renew_token(token=row, now=NOON + 360 * DAY)
        row.refresh_from_db()
        assert row.expires_at == row.ends_at == NOON + 365 * DAY
        assert token_in_force(token, now=NOON + 365 * DAY - HOUR) is not None
        assert token_in_force(token, now=NOON + 365 * DAY) is None

    def test_token_past_its_last_day__ends_whatever_its_use(self, ada: Person) -> None:
        row, token = make_token(ada)
        DeviceToken.objects.filter(pk=row.pk).update(ends_at=NOON)
        assert token_in_force(token, now=NOON - HOUR) is not None
        assert token_in_force(token, now=NOON) is None

    def test_token_of_a_person_who_left__is_nobodys_even_if_it_was_not_revoked(self, ada: Person) -> None:
        _, token = make_token(ada)
        Person.objects.filter(pk=ada.pk).update(left_on=NOON.date())
        assert token_in_force(token, now=NOON) is None

    def test_revoked_token__is_nobodys(self, ada: Person) -> None:
        row, token = make_token(ada)
        revoke_token(token_id=row.pk, actor=ada, now=NOON)
        assert token_in_force(token, now=NOON) is None
        with refused(NotFound, "token_unknown"):
            revoke_token(token_id=row.pk, actor=ada, now=NOON)

    def test_token_of_another__is_revoked_by_an_administrator_alone(self, ada: Person) -> None:
        row, _ = make_token(ada)
        with refused(NotFound, "token_unknown"):
            revoke_token(token_id=row.pk, actor=make_person("Tomo Vell", Role.DRIVER), now=NOON)
        revoke_token(token_id=row.pk, actor=make_person("Root", Role.ADMINISTRATOR), now=NOON)


class TestRolesOfTheDay:
    @pytest.mark.parametrize(
        ("zone", "now", "held"),
        [
            ("America/Chicago", dt.datetime(2026, 3, 7, 5, 59, tzinfo=dt.UTC), True),
            ("America/Chicago", dt.datetime(2026, 3, 7, 6, 0, tzinfo=dt.UTC), False),
            (None, dt.datetime(2026, 3, 6, 23, 59, tzinfo=dt.UTC), True),
            (None, dt.datetime(2026, 3, 7, 0, 0, tzinfo=dt.UTC), False),
        ],
    )
    def test_last_day__ends_at_midnight_of_the_carriers_zone(
        self, zone: str | None, now: dt.datetime, held: bool
    ) -> None:
        if zone:
            make_carrier(zone)
        person = make_person()
        PersonRoleFactory.create(
            person=person, role=Role.DRIVER, starts_on=dt.date(2026, 3, 1), ends_on=dt.date(2026, 3, 6)
        )
        found = token_in_force(make_token(person)[1], now=now)
        assert found is not None
        assert found.person.current_roles == ({Role.DRIVER} if held else frozenset())

    def test_role_that_begins_tomorrow__is_not_held_today(self) -> None:
        person = make_person()
        PersonRoleFactory.create(person=person, role=Role.DRIVER, starts_on=dt.date(2026, 3, 7))
        found = token_in_force(make_token(person)[1], now=NOON)
        assert found is not None
        assert found.person.current_roles == frozenset()


class TestRefusals:
    @pytest.mark.parametrize(("username", "password"), [("ada", "wrong"), ("nobody", PASSWORD), ("", "")])
    def test_wrong_name_or_password__are_refused_alike(self, ada: Person, username: str, password: str) -> None:
        with refused(NotSignedIn, "sign_in_refused"):
            attempt(username, password)
        assert not DeviceToken.objects.exists()

    def test_person_who_left_or_has_no_password__is_refused(self, ada: Person) -> None:
        make_person("Rita Sand", username="rita").set_unusable_password()
        with refused(NotSignedIn, "sign_in_refused"):
            attempt("rita")
        Person.objects.filter(pk=ada.pk).update(left_on=NOON.date())
        with refused(NotSignedIn, "sign_in_refused"):
            attempt()


class TestGuessing:
    """A stranger is slowed down, whoever it is that he guesses at; the person herself signs in all the same."""

    def guess(self, times: int, *, address: str = STRANGER, username: str = "ada", now: dt.datetime = NOON) -> None:
        for _ in range(times):
            with refused(NotSignedIn, "sign_in_refused"):
                attempt(username, "wrong", address, now)

    def waits(self, *, address: str = STRANGER, username: str = "ada", now: dt.datetime = NOON) -> int:
        with pytest.raises(TooOften) as refusal:
            attempt(username, "wrong", address, now)
        assert refusal.value.code == "sign_in_too_often"
        retry_after = refusal.value.facts["retry_after"]
        assert isinstance(retry_after, int)
        return retry_after

    def test_eleventh_guess_at_a_name_from_an_address__waits_for_the_window(self, ada: Person) -> None:
        self.guess(10)
        assert self.waits(now=NOON + dt.timedelta(minutes=5)) == 600
        with pytest.raises(TooOften):
            attempt(address=STRANGER, now=NOON + dt.timedelta(minutes=14))
        assert attempt(address=STRANGER, now=NOON + dt.timedelta(minutes=15))[0].person_id == ada.pk

    def test_person_at_another_address__signs_in_whatever_strangers_did(self, ada: Person) -> None:
        for number in range(8):
            address = f"198.51.100.{number}"
            self.guess(10 if number < 5 else 3, address=address)
            self.waits(address=address)
        assert attempt()[0].person_id == ada.pk

    def test_name_that_many_guess_at__is_guessed_thrice_an_address(self, ada: Person) -> None:
        for number in range(5):
            self.guess(10, address=f"198.51.100.{number}")
        self.guess(3, address="203.0.113.1")
        self.waits(address="203.0.113.1")
        self.guess(10, address="203.0.113.1", username="hob")

    def test_sixty_first_attempt_of_an_address__waits_whatever_the_name(self, ada: Person) -> None:
        for number in range(60):
            self.guess(1, username=f"nobody-{number}")
        self.waits(username="nobody-60")
        with pytest.raises(TooOften):
            attempt(address=STRANGER)
        assert attempt(address="198.51.100.1")[0].person_id == ada.pk

    def test_address_at_its_limit__counts_nothing_against_any_name(self, ada: Person) -> None:
        SignInAttemptFactory.create(subject=f"address {STRANGER}", failures=60)
        for _ in range(3):
            self.waits()
        assert [attempt.subject for attempt in SignInAttempt.objects.all()] == [f"address {STRANGER}"]
        assert not SignInAttempt.objects.filter(subject__contains="ada").exists()

    def test_device_that_signed_in_before__is_not_locked_by_strangers(self, ada: Person) -> None:
        row, token = make_token(ada)
        DeviceToken.objects.filter(pk=row.pk).update(expires_at=NOON - HOUR, ends_at=NOON - HOUR)
        self.guess(10)
        SignInAttempt.objects.filter(subject=f"address {STRANGER}").update(failures=60)
        with pytest.raises(TooOften):
            attempt(address=STRANGER)
        assert attempt(address=STRANGER, sent_along=token)[0].person_id == ada.pk

    def test_token_of_a_device__proves_nothing_for_another_name(self, ada: Person) -> None:
        _, token = make_token(make_person("Tomo Vell", Role.DRIVER, username="tomo"))
        self.guess(10)
        for wrong in (token, "rct_" + "A" * 43, "hello"):
            with pytest.raises(TooOften):
                attempt(address=STRANGER, sent_along=wrong)

    def test_known_device_that_guesses__waits_as_well_and_alone(self, ada: Person) -> None:
        _, token = make_token(ada)
        for _ in range(10):
            with refused(NotSignedIn, "sign_in_refused"):
                attempt(password="wrong", sent_along=token)
        with pytest.raises(TooOften):
            attempt(sent_along=token)
        assert attempt()[0].person_id == ada.pk

    def test_right_password__takes_its_attempts_off_the_counts(self, ada: Person) -> None:
        self.guess(9)
        attempt(address=STRANGER)
        counts = dict(SignInAttempt.objects.values_list("subject", "failures"))
        assert counts == {f"address {STRANGER}": 9, "name ada": 9, f"at {STRANGER} ada": 0}
        self.guess(10)

    @pytest.mark.parametrize("ahead", [dt.timedelta(minutes=1), 40 * DAY])
    def test_clock_that_ran_ahead__keeps_nobody_longer_than_a_window(self, ada: Person, ahead: dt.timedelta) -> None:
        self.guess(10, now=NOON + ahead)
        assert self.waits() == 900
        assert attempt(address=STRANGER, now=NOON + dt.timedelta(minutes=15))[0].person_id == ada.pk

    def test_name_made_up_to_look_like_a_count__counts_for_itself_alone(self, ada: Person) -> None:
        for trick in (f"ada {STRANGER}", f"{STRANGER} ada", f"ada\n{STRANGER}"):
            self.guess(10, username=trick, address="203.0.113.5")
        assert attempt(address=STRANGER)[0].person_id == ada.pk

    def test_addresses_of_one_network__count_as_one(self, ada: Person) -> None:
        for number in range(10):
            self.guess(1, address=f"2001:db8:1:2:{number}::1")
        self.waits(address="2001:db8:1:2:ffff::9")
        self.guess(1, address="2001:db8:1:3::1")
        self.guess(10, address="::ffff:198.51.100.9")
        self.waits(address="198.51.100.9")

    def test_names_longer_than_kept__count_by_what_is_kept(self) -> None:
        with refused(NotSignedIn, "sign_in_refused"):
            attempt("x" * 500, "wrong", address="f" * 500)
        assert sorted(map(len, SignInAttempt.objects.values_list("subject", flat=True))) == [53, 69, 113]


class TestSecurityEvents:
    def test_each_attempt__is_told_with_name_and_address_and_never_a_password(
        self, ada: Person, caplog: pytest.LogCaptureFixture
    ) -> None:
        caplog.set_level(logging.INFO, "security")
        with refused(NotSignedIn, "sign_in_refused"):
            attempt("Ada", "wrong-one", STRANGER)
        _, token = attempt()
        attempt(sent_along=token)
        SignInAttempt.objects.filter(subject=f"address {STRANGER}").update(failures=60)
        with pytest.raises(TooOften):
            attempt("ada", "wrong-two", STRANGER)
        assert told(caplog) == [
            f'sign_in_failed name=Ada actor="" address={STRANGER}',
            'sign_in_new_device name=ada actor="" address=192.0.2.7 device=phone',
            'sign_in_known_device name=ada actor="" address=192.0.2.7 device=phone',
            f'sign_in_blocked name=ada actor="" address={STRANGER} by=address',
        ]
        for secret in ("wrong-one", "wrong-two", PASSWORD, token):
            assert secret not in caplog.text

    def test_name_that_would_write_a_line_of_its_own__is_quoted(self, caplog: pytest.LogCaptureFixture) -> None:
        caplog.set_level(logging.INFO, "security")
        with refused(NotSignedIn, "sign_in_refused"):
            attempt('ada actor=root\nsign_in_new_device name="x"\u2028', "wrong")
        assert told(caplog) == [
            'sign_in_failed name="ada actor=root\\nsign_in_new_device name=\\"x\\"\\u2028" actor="" address=192.0.2.7'
        ]

    def test_name_that_many_guess_at__is_noted_once(self, ada: Person, caplog: pytest.LogCaptureFixture) -> None:
        caplog.set_level(logging.INFO, "security")
        SignInAttemptFactory.create(subject="name ada", failures=48)
        for number in range(3):
            with refused(NotSignedIn, "sign_in_refused"):
                attempt("ada", "wrong", f"198.51.100.{number}")
        assert told(caplog, "sign_in_many_failures") == ['sign_in_many_failures name=ada actor="" address=198.51.100.1']


class TestResetMeanwhile:
    """A password that is reset between the look at it and what follows opens nothing any more."""

    @pytest.fixture
    def reset_while_looking(self, ada: Person, monkeypatch: pytest.MonkeyPatch) -> Person:
        root, truly = make_person("Root", Role.ADMINISTRATOR, username="root"), Person.check_password

        def looking(person: Person, given: str) -> bool:
            right = truly(person, given)
            set_password(person_id=ada.pk, version=1, password="another road to River Dock", actor=root, now=NOON)
            return right

        monkeypatch.setattr(Person, "check_password", looking)
        return ada

    def test_signing_in__is_refused(self, reset_while_looking: Person) -> None:
        with refused(NotSignedIn, "sign_in_refused"):
            attempt()
        assert not DeviceToken.objects.exists()

    def test_own_password__is_not_changed(self, reset_while_looking: Person) -> None:
        row, _ = make_token(reset_while_looking)
        with refused(Invalid, "password_wrong", ("/current_password", "password_wrong")):
            change_own_password(
                current=PASSWORD,
                password="a third road to River Dock",
                token=row,
                address="192.0.2.7",
                actor=reset_while_looking,
                now=NOON,
            )
        reset_while_looking.refresh_from_db()
        assert reset_while_looking.sign_in_given
