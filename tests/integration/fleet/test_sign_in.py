"""Signing in, how long it lasts, and how guessing is made slow."""

import datetime as dt

import pytest
from pytest_django import DjangoAssertNumQueries

from common.errors import NotFound, NotSignedIn, TooOften
from fleet.enums import Role
from fleet.models import DeviceToken, Person, PersonRole, SignInAttempt
from fleet.selectors.sign_in import token_in_force
from fleet.services.sign_in import create_token
from fleet.services.tokens import renew_token, revoke_token
from tests.factories.fleet import HOUR, NOON, make_carrier, make_person, make_token
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
PASSWORD = "a long way to River Dock"


@pytest.fixture
def ada() -> Person:
    person = make_person("Ada Brisk", Role.DRIVER, username="ada")
    person.set_password(PASSWORD)
    person.save()
    return person


def attempt(
    username: str = "ada", password: str = PASSWORD, address: str = "192.0.2.7", now: dt.datetime = NOON
) -> tuple[DeviceToken, str]:
    return create_token(username=username, password=password, device="phone", address=address, now=now)


class TestToken:
    def test_right_password__gives_a_token_that_is_kept_hashed(self, ada: Person) -> None:
        row, token = attempt("Ada")
        assert token.startswith("rct_")
        assert len(token) == 47
        assert token.encode() not in bytes(row.digest)
        found = token_in_force(token, now=NOON)
        assert found is not None
        assert (found.pk, found.person_id) == (row.pk, ada.pk)
        assert found.person.current_roles == {Role.DRIVER}

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
        PersonRole.objects.create(
            person=person, role=Role.DRIVER, starts_on=dt.date(2026, 3, 1), ends_on=dt.date(2026, 3, 6)
        )
        found = token_in_force(make_token(person)[1], now=now)
        assert found is not None
        assert found.person.current_roles == ({Role.DRIVER} if held else frozenset())

    def test_role_that_begins_tomorrow__is_not_held_today(self) -> None:
        person = make_person()
        PersonRole.objects.create(person=person, role=Role.DRIVER, starts_on=dt.date(2026, 3, 7))
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

    def test_eleventh_attempt_on_a_name__waits_for_the_window_from_wherever(self, ada: Person) -> None:
        for number in range(10):
            with refused(NotSignedIn, "sign_in_refused"):
                attempt(password="wrong", address=f"192.0.2.{number}")
        with pytest.raises(TooOften) as refusal:
            attempt(address="198.51.100.1", now=NOON + dt.timedelta(minutes=5))
        assert (refusal.value.code, refusal.value.facts) == ("sign_in_too_often", {"retry_after": 600})
        assert attempt(now=NOON + dt.timedelta(minutes=15))[0].person_id == ada.pk

    def test_sixty_first_attempt_of_an_address__waits_whatever_the_name(self, ada: Person) -> None:
        for number in range(60):
            with refused(NotSignedIn, "sign_in_refused"):
                attempt(f"nobody-{number}", "wrong")
        with pytest.raises(TooOften):
            attempt()
        assert attempt(address="198.51.100.1")[0].person_id == ada.pk

    def test_right_password__takes_its_attempts_off_the_counts(self, ada: Person) -> None:
        for _ in range(9):
            with refused(NotSignedIn, "sign_in_refused"):
                attempt(password="wrong")
        attempt()
        assert dict(SignInAttempt.objects.values_list("subject", "failures")) == {"address:192.0.2.7": 9}
        for _ in range(10):
            with refused(NotSignedIn, "sign_in_refused"):
                attempt(password="wrong")

    def test_names_longer_than_kept__count_by_what_is_kept(self) -> None:
        with refused(NotSignedIn, "sign_in_refused"):
            attempt("x" * 500, "wrong", address="f" * 500)
        assert sorted(map(len, SignInAttempt.objects.values_list("subject", flat=True))) == [69, 72]
