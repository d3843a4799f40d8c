"""People, their roles and passwords, and what leaving ends."""

import datetime as dt

import pytest
from django.db import IntegrityError, transaction

from common.errors import Conflict, Invalid, NotAllowed, NotFound, PreconditionFailed
from common.ids import uuid7
from fleet.enums import Role, Scope
from fleet.models import DeviceToken, Person, PersonRole
from fleet.selectors.people.sign_in import token_in_force
from fleet.services.people.people import create_person, edit_person, leave, set_password, set_password_at_console
from fleet.services.people.roles import end_qualification, end_role, grant_qualification, grant_role
from tests.factories.fleet import NOON, TODAY, PersonRoleFactory, make_person, make_qualification, make_site, make_token
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
PASSWORD = "a long way to River Dock"


@pytest.fixture
def administrator() -> Person:
    return make_person("Root Admin", Role.ADMINISTRATOR, username="root")


@pytest.fixture
def compliance() -> Person:
    return make_person("Vera Holt", Role.COMPLIANCE)


def give(person: Person, role: Role, actor: Person, **more: object) -> PersonRole:
    arguments = {"site_id": None, "starts_on": TODAY, "ends_on": None, "now": NOON, **more}
    return grant_role(person_id=person.pk, role=role, actor=actor, **arguments)  # type: ignore[arg-type]


def go(person: Person, actor: Person, version: int | None = 1, on: dt.date = TODAY) -> Person:
    return leave(person_id=person.pk, version=version, left_on=on, today=TODAY, actor=actor, now=NOON)


class TestAdding:
    def test_person_with_sign_in__has_a_hashed_password_and_a_lower_case_name(self, administrator: Person) -> None:
        person = create_person(facts={"name": "Ada Brisk", "username": "Ada"}, password=PASSWORD, actor=administrator)
        person.refresh_from_db()
        assert person.username == "ada"
        assert person.check_password(PASSWORD)
        assert PASSWORD not in person.password
        assert person.sign_in_given

    def test_outside_person__has_no_sign_in(self, compliance: Person) -> None:
        person = create_person(facts={"name": "Rita Sand", "firm": "Crookspoke"}, password=None, actor=compliance)
        assert person.username is None
        assert not person.has_usable_password()

    def test_sign_in__is_given_by_administrators_alone(self, compliance: Person) -> None:
        with refused(NotAllowed, "sign_in_needs_administrator"):
            create_person(facts={"name": "Ada", "username": "ada"}, password=PASSWORD, actor=compliance)
        assert Person.objects.count() == 1

    @pytest.mark.parametrize(
        ("facts", "password", "code", "problem"),
        [
            ({"username": "ada"}, None, "password_missing", "password_missing"),
            ({}, PASSWORD, "password_without_username", "password_without_username"),
            ({"username": "ada"}, "short", "password_refused", "password_too_short"),
            ({"username": "ada"}, "password1234", "password_refused", "password_too_common"),
            ({"username": "ada"}, "90210776123450", "password_refused", "password_entirely_numeric"),
            ({"username": "ada"}, "aaaaaaaaaaaa", "password_refused", "password_few_characters"),
            ({"username": "ada"}, "abababababAB", "password_refused", "password_few_characters"),
            ({"username": "vera.holt"}, "vera.holtvera.holt", "password_refused", "password_too_similar"),
            ({"username": "v", "name": "Vera Holtson"}, "Vera Holtson!", "password_refused", "password_too_similar"),
        ],
    )
    def test_password_that_does_not_do__is_refused(
        self, administrator: Person, facts: dict[str, object], password: str | None, code: str, problem: str
    ) -> None:
        with refused(Invalid, code, ("/password", problem)):
            create_person(facts={"name": "Ada", **facts}, password=password, actor=administrator)
        assert Person.objects.count() == 1


class TestEditing:
    def test_change__raises_the_version(self, administrator: Person) -> None:
        person = make_person()
        edit_person(person_id=person.pk, version=1, changes={"phone": "555"}, actor=administrator, now=NOON)
        person.refresh_from_db()
        assert (person.phone, person.version) == ("555", 2)

    def test_another_version__is_refused(self, administrator: Person) -> None:
        person = make_person()
        with refused(PreconditionFailed, "version_changed"):
            edit_person(person_id=person.pk, version=2, changes={"phone": "555"}, actor=administrator, now=NOON)

    def test_username__is_changed_by_administrators_alone(self, compliance: Person) -> None:
        person = make_person()
        with refused(NotAllowed, "sign_in_needs_administrator"):
            edit_person(person_id=person.pk, version=1, changes={"username": "ada"}, actor=compliance, now=NOON)

    def test_username_taken_away__by_administrators_alone_with_every_session(
        self, administrator: Person, compliance: Person
    ) -> None:
        person = make_person(username="ada")
        _, token = make_token(person)
        with refused(NotAllowed, "sign_in_needs_administrator"):
            edit_person(person_id=person.pk, version=1, changes={"username": None}, actor=compliance, now=NOON)
        assert token_in_force(token, now=NOON) is not None
        edit_person(person_id=person.pk, version=1, changes={"username": None}, actor=administrator, now=NOON)
        assert token_in_force(token, now=NOON) is None

    def test_username_of_the_last_administrator__is_not_taken_away(self, administrator: Person) -> None:
        with refused(Conflict, "last_administrator"):
            edit_person(
                person_id=administrator.pk, version=1, changes={"username": None}, actor=administrator, now=NOON
            )

    def test_foreman__edits_people_without_a_sign_in_alone(self) -> None:
        foreman = make_person("Hob Anselm", Role.FOREMAN)
        rita, ada = make_person("Rita Sand"), make_person("Ada Brisk", username="ada")
        edit_person(person_id=rita.pk, version=1, changes={"phone": "555"}, actor=foreman, now=NOON)
        with refused(NotAllowed, "person_signs_in"):
            edit_person(person_id=ada.pk, version=1, changes={"email": "x@y.invalid"}, actor=foreman, now=NOON)

    @pytest.mark.parametrize("role", [Role.COMPLIANCE, Role.FOREMAN])
    def test_administrator__is_edited_by_administrators_and_oneself_alone(
        self, administrator: Person, role: Role
    ) -> None:
        other = make_person("Other", role)
        with refused(NotAllowed, "person_is_administrator" if role == Role.COMPLIANCE else "person_signs_in"):
            edit_person(person_id=administrator.pk, version=1, changes={"email": "x@y.invalid"}, actor=other, now=NOON)
        administrator.refresh_from_db()
        assert administrator.email == ""
        second = make_person("Second", Role.ADMINISTRATOR, username="second")
        edit_person(person_id=administrator.pk, version=1, changes={"email": "a@y.invalid"}, actor=second, now=NOON)

    def test_unknown_person__is_not_found(self, administrator: Person) -> None:
        with refused(NotFound, "person_unknown"):
            edit_person(person_id=uuid7(), version=1, changes={}, actor=administrator, now=NOON)

    def test_new_password__ends_every_session(self, administrator: Person) -> None:
        person = make_person(username="ada")
        _, token = make_token(person)
        set_password(person_id=person.pk, version=1, password=PASSWORD, actor=administrator, now=NOON)
        person.refresh_from_db()
        assert person.check_password(PASSWORD)
        assert token_in_force(token, now=NOON) is None

    @pytest.mark.parametrize("reset", ["administrator", "console"])
    def test_password_given__is_to_be_changed_and_is_not_the_present_one(
        self, administrator: Person, reset: str
    ) -> None:
        ada = make_person(username="ada")

        def give_password(version: int, password: str) -> None:
            if reset == "console":
                set_password_at_console(person_id=ada.pk, password=password, now=NOON)
            else:
                set_password(person_id=ada.pk, version=version, password=password, actor=administrator, now=NOON)

        make_token(ada)
        give_password(1, PASSWORD)
        ada.refresh_from_db()
        assert (ada.sign_in_given, ada.version, ada.check_password(PASSWORD)) == (True, 2, True)
        assert not ada.tokens.filter(revoked_at__isnull=True).exists()
        with refused(Invalid, "password_refused", ("/password", "password_unchanged")):
            give_password(2, PASSWORD)

    def test_password_of_a_person_without_sign_in__is_refused(self, administrator: Person) -> None:
        with refused(Invalid, "no_username", ("/password", "no_username")):
            set_password(person_id=make_person().pk, version=1, password=PASSWORD, actor=administrator, now=NOON)


class TestLeaving:
    def test_person_who_left__has_no_session_and_no_role(self, administrator: Person) -> None:
        person = make_person("Ada Brisk", Role.DRIVER, username="ada")
        _, token = make_token(person)
        go(person, administrator)
        assert token_in_force(token, now=NOON) is None
        assert DeviceToken.objects.filter(revoked_at__isnull=True).count() == 0
        assert list(person.roles.values_list("ends_on", flat=True)) == [TODAY]
        with refused(Conflict, "action_not_allowed"):
            go(person, administrator, 2)
        with refused(Conflict, "action_not_allowed"):
            edit_person(person_id=person.pk, version=2, changes={"phone": "5"}, actor=administrator, now=NOON)
        with refused(Conflict, "action_not_allowed"):
            give(person, Role.DRIVER, administrator)

    def test_day_to_come__is_refused(self, administrator: Person) -> None:
        with refused(Invalid, "date_in_future", ("/left_on", "date_in_future")):
            go(make_person(), administrator, on=TODAY + DAY)

    def test_last_administrator__stays(self, administrator: Person) -> None:
        with refused(Conflict, "last_administrator"):
            go(administrator, administrator)
        administrator.refresh_from_db()
        assert administrator.left_on is None
        second = make_person("Second", Role.ADMINISTRATOR, username="second")
        assert go(administrator, second).left_on == TODAY


class TestRoles:
    def test_role__is_held_from_day_to_day(self, administrator: Person) -> None:
        person, site = make_person(), make_site()
        role = give(person, Role.FOREMAN, administrator, site_id=site.pk, ends_on=TODAY + DAY)
        assert (role.site_id, role.starts_on, role.ends_on) == (site.pk, TODAY, TODAY + DAY)
        assert [role.in_force(TODAY + n * DAY) for n in (-1, 0, 1, 2)] == [False, True, True, False]

    @pytest.mark.parametrize(
        ("starts", "ends", "held"), [(0, None, True), (10, None, True), (11, None, False), (0, 4, False), (0, 5, True)]
    )
    def test_role_held_already__is_refused(
        self, administrator: Person, starts: int, ends: int | None, held: bool
    ) -> None:
        person = make_person()
        give(person, Role.DRIVER, administrator, starts_on=TODAY + 5 * DAY, ends_on=TODAY + 10 * DAY)
        days = {"starts_on": TODAY + starts * DAY, "ends_on": None if ends is None else TODAY + ends * DAY}
        if held:
            with refused(Conflict, "role_already_held"):
                give(person, Role.DRIVER, administrator, **days)
        else:
            give(person, Role.DRIVER, administrator, **days)
        assert person.roles.count() == (1 if held else 2)

    def test_same_role_at_another_site__is_another_role(self, administrator: Person) -> None:
        person = make_person()
        for site in (None, make_site().pk, make_site().pk):
            give(person, Role.FOREMAN, administrator, site_id=site)
        assert person.roles.count() == 3

    def test_end_before_beginning__is_refused(self, administrator: Person) -> None:
        with refused(Invalid, "end_before_beginning", ("/ends_on", "end_before_beginning")):
            give(make_person(), Role.DRIVER, administrator, ends_on=TODAY - DAY)

    def test_role_ended__holds_to_its_last_day(self, administrator: Person) -> None:
        person = make_person()
        role = give(person, Role.DRIVER, administrator)
        end_role(person_id=person.pk, role_id=role.pk, ends_on=TODAY, actor=administrator, now=NOON)
        role.refresh_from_db()
        assert role.ends_on == TODAY

    def test_role_that_ended__and_another_persons_are_refused(self, administrator: Person) -> None:
        person = make_person()
        role = give(person, Role.DRIVER, administrator)
        PersonRole.objects.update(starts_on=TODAY - 9 * DAY, ends_on=TODAY - DAY)
        with refused(Conflict, "role_ended"):
            end_role(person_id=person.pk, role_id=role.pk, ends_on=TODAY, actor=administrator, now=NOON)
        with refused(NotFound, "role_unknown"):
            end_role(person_id=administrator.pk, role_id=role.pk, ends_on=TODAY, actor=administrator, now=NOON)

    def test_last_administrators_role__does_not_end(self, administrator: Person) -> None:
        (role,) = administrator.roles.all()
        with refused(Conflict, "last_administrator"):
            end_role(person_id=administrator.pk, role_id=role.pk, ends_on=TODAY, actor=administrator, now=NOON)
        role.refresh_from_db()
        assert role.ends_on is None

    def test_administrator_without_a_name_to_sign_in__does_not_count(self, administrator: Person) -> None:
        make_person("No Name", Role.ADMINISTRATOR)
        (role,) = administrator.roles.all()
        with refused(Conflict, "last_administrator"):
            end_role(person_id=administrator.pk, role_id=role.pk, ends_on=TODAY, actor=administrator, now=NOON)

    def test_who_gave_and_ended_it__is_stored(self, administrator: Person) -> None:
        person = make_person()
        role = give(person, Role.DRIVER, administrator)
        assert (role.granted_by, role.granted_at, role.console_reason) == (administrator, NOON, "")
        end_role(person_id=person.pk, role_id=role.pk, ends_on=TODAY, actor=administrator, now=NOON + DAY)
        role.refresh_from_db()
        assert (role.ended_by, role.ended_at) == (administrator, NOON + DAY)
        other = give(make_person(), Role.DRIVER, administrator)
        go(other.person, administrator)
        other.refresh_from_db()
        assert (other.ends_on, other.ended_by, other.ended_at) == (TODAY, administrator, NOON)

    def test_dated_back__is_refused(self, administrator: Person) -> None:
        person = make_person()
        with refused(Invalid, "role_backdated", ("/starts_on", "role_backdated")):
            give(person, Role.FOREMAN, administrator, starts_on=TODAY - DAY)
        role = give(person, Role.FOREMAN, administrator)
        PersonRole.objects.filter(pk=role.pk).update(starts_on=TODAY - 9 * DAY)
        with refused(Invalid, "role_end_backdated", ("/ends_on", "role_end_backdated")):
            end_role(person_id=person.pk, role_id=role.pk, ends_on=TODAY - 2 * DAY, actor=administrator, now=NOON)
        end_role(person_id=person.pk, role_id=role.pk, ends_on=TODAY - DAY, actor=administrator, now=NOON)
        role.refresh_from_db()
        assert role.ends_on == TODAY - DAY

    @pytest.mark.parametrize("role", Role)
    def test_to_oneself__no_role_is_given(self, administrator: Person, role: Role) -> None:
        with refused(NotAllowed, "grants_oneself"):
            give(administrator, role, administrator)
        assert administrator.roles.count() == 1

    def test_own_role__may_be_ended_sooner_and_never_later(self, administrator: Person) -> None:
        second = make_person("Second", Role.ADMINISTRATOR, username="second")
        role = give(administrator, Role.DRIVER, second, ends_on=TODAY + 5 * DAY)
        with refused(NotAllowed, "grants_oneself"):
            end_role(
                person_id=administrator.pk, role_id=role.pk, ends_on=TODAY + 6 * DAY, actor=administrator, now=NOON
            )
        end_role(person_id=administrator.pk, role_id=role.pk, ends_on=TODAY, actor=administrator, now=NOON)
        end_role(person_id=administrator.pk, role_id=role.pk, ends_on=TODAY + 6 * DAY, actor=second, now=NOON)

    def test_administrator_at_one_site__is_refused_by_service_and_database(self, administrator: Person) -> None:
        person, site = make_person(), make_site()
        with refused(Invalid, "administrator_at_one_site", ("/site", "administrator_at_one_site")):
            give(person, Role.ADMINISTRATOR, administrator, site_id=site.pk)
        with pytest.raises(IntegrityError, match="person_role_administrator_everywhere"), transaction.atomic():
            PersonRoleFactory.create(person=person, role=Role.ADMINISTRATOR, site=site, starts_on=TODAY)
        assert person.roles.count() == 0


class TestQualifications:
    def test_of_oneself__is_refused(self, compliance: Person) -> None:
        with refused(NotAllowed, "qualifies_oneself"):
            grant_qualification(
                person_id=compliance.pk,
                scope=Scope.BRAKES_REPAIR,
                evidence="I say so",
                starts_on=TODAY,
                ends_on=None,
                actor=compliance,
                now=NOON,
            )
        assert not compliance.qualifications.exists()

    def test_qualification__is_kept_with_its_evidence(self, compliance: Person) -> None:
        person = make_person("Greta Lind", Role.MECHANIC)
        row = grant_qualification(
            person_id=person.pk,
            scope=Scope.BRAKES_REPAIR,
            evidence="two years at a brake shop",
            starts_on=TODAY,
            ends_on=None,
            actor=compliance,
            now=NOON,
        )
        assert (row.person_id, row.recorded_by_id, row.evidence) == (
            person.pk,
            compliance.pk,
            "two years at a brake shop",
        )

    def test_end__is_a_last_day(self, compliance: Person) -> None:
        row = make_qualification()
        assert end_qualification(qualification_id=row.pk, ends_on=TODAY, actor=compliance, now=NOON).ends_on == TODAY
        row.refresh_from_db()
        assert (row.ended_by, row.ended_at) == (compliance, NOON)
        with refused(Invalid, "end_before_beginning", ("/ends_on", "end_before_beginning")):
            end_qualification(qualification_id=row.pk, ends_on=dt.date(2024, 12, 31), actor=compliance, now=NOON)
        with refused(Conflict, "qualification_ends_before"):
            end_qualification(qualification_id=row.pk, ends_on=TODAY + dt.timedelta(days=1), actor=compliance, now=NOON)
        with refused(NotFound, "qualification_unknown"):
            end_qualification(qualification_id=uuid7(), ends_on=TODAY, actor=compliance, now=NOON)
