"""Signing in, people, roles, sites and decisions over HTTP."""

import io
from typing import Any

import pytest
from django.core.management import call_command

from common.ids import uuid7
from fleet.enums import Role
from fleet.models import DeviceToken, Person, Policy
from tests.factories.fleet import (
    HOUR,
    NOON,
    TODAY,
    PersonRoleFactory,
    make_person,
    make_qualification,
    make_site,
    make_token,
)
from tests.support.acting import Device, acting_as, codes
from tests.support.routes import NO_KEY

pytestmark = pytest.mark.usefixtures("carrier")
PASSWORD = "a long way to River Dock"


@pytest.fixture
def administrator() -> Device:
    return acting_as(make_person("Root Admin", Role.ADMINISTRATOR, username="root"))


def make_ada(language: str = "en") -> Person:
    person = make_person("Ada Brisk", Role.DRIVER, username="ada", language=language)
    person.set_password(PASSWORD)
    person.save()
    return person


class TestSignIn:
    def test_name_and_password__give_a_token_that_signs_in_this_device(self) -> None:
        ada = make_ada()
        answer = Device().post("tokens", {"username": "Ada", "password": PASSWORD, "device": "yard tablet"})
        assert (answer.status_code, answer.headers["Cache-Control"]) == (201, "no-store")
        me = Device(answer.json()["token"]).get("me").json()
        assert (me["person"]["id"], me["current_roles"]) == (str(ada.pk), ["driver"])
        assert [device["device"] for device in me["devices"]] == ["yard tablet"]
        assert "token" not in me["devices"][0]

    def test_sign_in__needs_no_idempotency_key(self) -> None:
        make_ada()
        body = {"username": "ada", "password": PASSWORD, "device": "phone"}
        assert Device().send("POST", "tokens", body).status_code == 201

    def test_token_that_has_ended_still_sent_along__is_no_hindrance(self) -> None:
        make_ada()
        body = {"username": "ada", "password": PASSWORD, "device": "phone"}
        assert Device("ended-long-ago").post("tokens", body).status_code == 201
        assert Device("ended-long-ago").get("tokens").status_code == 401

    def test_wrong_password__is_401_and_counted_though_it_is_refused(self) -> None:
        make_ada()
        body = {"username": "ada", "password": "wrong", "device": "phone"}
        answers = [Device().post("tokens", body) for _ in range(11)]
        assert [answer.status_code for answer in answers] == [401] * 10 + [429]
        assert answers[0].json()["code"] == "sign_in_refused"
        assert answers[0].headers["WWW-Authenticate"] == "Bearer"
        assert (answers[10].json()["code"], answers[10].headers["Retry-After"]) == ("sign_in_too_often", "900")
        assert "wrong" not in answers[0].content.decode()

    def test_device_known_by_a_token_of_before__is_not_locked_by_who_guesses_beside_it(self) -> None:
        row, token = make_token(make_ada())
        body = {"username": "ada", "password": "wrong", "device": "phone"}
        assert [Device().post("tokens", body).status_code for _ in range(11)][9:] == [401, 429]
        DeviceToken.objects.filter(pk=row.pk).update(revoked_at=NOON)
        body["password"] = PASSWORD
        assert [Device(each).post("tokens", body).status_code for each in (None, token)] == [429, 201]
        assert Device(token).get("me").status_code == 401

    def test_one_device_too_many__signs_out_the_one_unused_for_longest_and_says_so(self) -> None:
        ada = make_ada()
        phone = make_token(ada, device="phone in daily use", at=NOON - 480 * HOUR)[1]
        lost = make_token(ada, device="lost phone", at=NOON - 48 * HOUR)[1]
        for _ in range(17):
            make_token(ada)
        assert Device(phone).get("me").status_code == 200
        signed_out = [
            Device().post("tokens", {"username": "ada", "password": PASSWORD, "device": device}).json()["signed_out"]
            for device in ("tablet", "desk")
        ]
        assert signed_out == [[], ["lost phone"]]
        assert [Device(token).get("me").status_code for token in (phone, lost)] == [200, 401]

    def test_same_device_again_and_again__signs_out_none_but_its_own(self) -> None:
        ada = make_ada()
        phone = make_token(ada, device="own phone")[1]
        body = {"username": "ada", "password": PASSWORD, "device": "yard tablet"}
        signed_out = [Device().post("tokens", body).json()["signed_out"] for _ in range(21)]
        assert signed_out == [[]] * 19 + [["yard tablet"]] * 2
        assert Device(phone).get("me").status_code == 200

    @pytest.mark.parametrize("token", ["rct_" + "A" * 43, "hello", ""])
    def test_token_of_nobody__is_refused(self, token: str) -> None:
        answer = Device().send("GET", "me") if not token else Device(token).get("me")
        code = "authentication_failed" if token else "not_authenticated"
        assert (answer.status_code, answer.json()["code"]) == (401, code)
        assert answer.headers["WWW-Authenticate"] == "Bearer"

    def test_device_signed_out__is_signed_out_at_once(self) -> None:
        ada = make_ada()
        row, token = make_token(ada)
        assert Device(token).delete(f"tokens/{row.pk}").status_code == 204
        assert Device(token).get("me").status_code == 401
        assert DeviceToken.objects.filter(revoked_at__isnull=False).count() == 1

    def test_devices__are_listed_to_their_owner_and_to_administrators(self, administrator: Device) -> None:
        ada = make_ada()
        own = acting_as(ada).get("tokens").json()["results"]
        assert {row["person"]["name"] for row in own} == {"Ada Brisk"}
        assert len(administrator.get("tokens").json()["results"]) == 2
        assert len(administrator.get("tokens", person=str(ada.pk)).json()["results"]) == 1

    def test_role_that_ended__does_not_open_doors_any_more(self, administrator: Device) -> None:
        foreman = make_person("Hob Anselm", Role.FOREMAN)
        signed_in = acting_as(foreman)
        assert signed_in.post("people", {"name": "Rita Sand"}).status_code == 201
        foreman.roles.update(ends_on="2026-03-05")
        assert signed_in.post("people", {"name": "Sam Ruy"}).status_code == 403

    def test_answers__are_in_the_persons_language(self) -> None:
        spanish = acting_as(make_ada("es"))
        answer = spanish.get("tractors/NL-99")
        assert answer.headers["Content-Language"] == "es"
        assert answer.json()["detail"] == "No hay tal unidad en servicio."


class TestOwnPassword:
    NEW = "another road to River Dock"

    def test_new_password__leaves_this_device_signed_in_alone(self) -> None:
        ada = make_ada()
        here, elsewhere = acting_as(ada), acting_as(ada)
        body = {"current_password": PASSWORD, "password": self.NEW}
        assert here.send("POST", "me/set-password", body).status_code == 204
        assert (here.get("me").status_code, elsewhere.get("me").status_code) == (200, 401)
        signed = {"username": "ada", "device": "phone"}
        answers = [Device().post("tokens", {**signed, "password": one}).status_code for one in (PASSWORD, self.NEW)]
        assert answers == [401, 201]

    @pytest.mark.parametrize(
        ("body", "expected"),
        [
            ({"current_password": "wrong", "password": NEW}, [("/current_password", "password_wrong")]),
            ({"current_password": PASSWORD, "password": "short"}, [("/password", "password_too_short")]),
            ({"current_password": PASSWORD, "password": PASSWORD}, [("/password", "password_unchanged")]),
            ({"password": NEW}, [("/current_password", "required")]),
        ],
    )
    def test_password_that_does_not_do__changes_nothing(
        self, body: dict[str, str], expected: list[tuple[str, str]]
    ) -> None:
        ada = make_ada()
        answer = acting_as(ada).send("POST", "me/set-password", body)
        assert (answer.status_code, codes(answer)) == (422, expected)
        ada.refresh_from_db()
        assert ada.check_password(PASSWORD)

    def test_present_password_guessed__counts_as_signing_in(self) -> None:
        here = acting_as(make_ada())
        body = {"current_password": "wrong", "password": self.NEW}
        answers = [here.send("POST", "me/set-password", body).status_code for _ in range(11)]
        assert answers == [422] * 10 + [429]

    def test_strangers_guessing__do_not_keep_a_person_from_changing_it(self) -> None:
        here = acting_as(make_ada())
        for _ in range(11):
            Device().post("tokens", {"username": "ada", "password": "wrong", "device": "phone"})
        body = {"current_password": PASSWORD, "password": self.NEW}
        assert here.send("POST", "me/set-password", body).status_code == 204


class TestPasswordSetBySomebodyElse:
    OWN = "another road to River Dock"

    def signed_in(self, password: str) -> dict[str, Any]:
        answer = Device().post("tokens", {"username": "iris", "password": password, "device": "phone"})
        assert answer.status_code == 201
        return dict(answer.json())

    @pytest.fixture(params=["added", "reset", "console"])
    def iris(self, request: pytest.FixtureRequest, administrator: Device, monkeypatch: pytest.MonkeyPatch) -> Person:
        if request.param == "added":
            body = {"name": "Iris Quade", "username": "iris", "password": PASSWORD}
            assert administrator.post("people", body).status_code == 201
            iris = Person.objects.get(username="iris")
            PersonRoleFactory.create(person=iris, role=Role.FOREMAN, starts_on=TODAY)
            return iris
        iris = make_person("Iris Quade", Role.FOREMAN, username="iris")
        if request.param == "reset":
            body = {"password": PASSWORD}
            assert administrator.post(f"people/{iris.pk}/set-password", body, if_match='"1"').status_code == 200
        else:
            monkeypatch.setattr("sys.stdin", io.StringIO(f"{PASSWORD}\n"))
            call_command("changepassword", "iris", stdout=io.StringIO())
        return iris

    def test_session__does_nothing_but_set_an_own_one(self, iris: Person) -> None:
        answer = self.signed_in(PASSWORD)
        assert answer["set_password_first"] is True
        phone = Device(answer["token"])
        for method, path, body in (
            ("GET", "me", None),
            ("GET", "yard", None),
            ("GET", "notices", None),
            ("DELETE", f"tokens/{answer['id']}", None),
            ("POST", "people", {"name": "Rita Sand"}),
            ("GET", "exports/everything.zip", None),
            ("PUT", f"walkarounds/{NO_KEY}", {}),
        ):
            refusal = phone.send(method, path, body, key=str(uuid7()) if method == "POST" else None)
            assert (refusal.status_code, refusal.json()["code"]) == (403, "own_password_first"), path
        unchanged = {"current_password": PASSWORD, "password": PASSWORD}
        assert phone.send("POST", "me/set-password", unchanged).status_code == 422
        assert phone.get("me").status_code == 403
        own = {"current_password": PASSWORD, "password": self.OWN}
        assert phone.send("POST", "me/set-password", own).status_code == 204
        assert phone.get("me").status_code == 200
        assert self.signed_in(self.OWN)["set_password_first"] is False


class TestPeople:
    def test_person__is_added_edited_and_found_by_role(self, administrator: Device) -> None:
        site = make_site()
        made = administrator.post(
            "people", {"name": "Iris Quade", "username": "Iris", "password": PASSWORD, "home_site": site.code}
        )
        assert made.status_code == 201
        told = made.json()
        assert (told["username"], told["home_site"], "password" in told) == ("iris", site.code, False)
        path = f"people/{told['id']}"
        role = administrator.post(f"{path}/roles", {"role": "driver", "starts_on": "2026-03-06"})
        assert (role.status_code, role.json()["role"]) == (201, "driver")
        assert [row["id"] for row in administrator.get("people", role="driver").json()["results"]] == [told["id"]]
        edited = administrator.patch(path, {"language": "es"}, if_match='"1"')
        assert (edited.status_code, edited.json()["language"], edited.json()["version"]) == (200, "es", 2)
        assert Device().post("tokens", {"username": "iris", "password": PASSWORD, "device": "phone"}).status_code == 201

    @pytest.mark.parametrize(
        ("body", "expected"),
        [
            ({"name": "A", "username": "a", "password": "short"}, [("/password", "password_too_short")]),
            ({"name": "A", "username": "a"}, [("/password", "password_missing")]),
            ({"name": "A", "email": "no"}, [("/email", "not_an_address")]),
            ({"name": "A", "language": "fr"}, [("/language", "invalid_choice")]),
            ({"name": "A", "is_active": True}, [("/is_active", "unknown_field")]),
            ({"name": "A", "home_site": "X"}, [("/home_site", "site_unknown")]),
        ],
    )
    def test_body_that_does_not_do__is_refused(
        self, administrator: Device, body: dict[str, object], expected: list[tuple[str, str]]
    ) -> None:
        answer = administrator.post("people", body)
        assert (answer.status_code, codes(answer)) == (422, expected)
        assert Person.objects.count() == 1

    def test_name_to_sign_in_with_that_is_taken__is_a_conflict(self, administrator: Device) -> None:
        answer = administrator.post("people", {"name": "R", "username": "ROOT", "password": PASSWORD})
        assert (answer.status_code, answer.json()["code"]) == (409, "username_taken")

    def test_person_who_left__is_signed_out_and_hidden_from_the_present(self, administrator: Device) -> None:
        ada = make_ada()
        signed_in = acting_as(ada)
        gone = administrator.post(f"people/{ada.pk}/leave", {"left_on": "2026-03-06"}, if_match='"1"')
        assert (gone.status_code, gone.json()["left_on"], gone.json()["allowed_actions"]) == (200, "2026-03-06", [])
        assert signed_in.get("me").status_code == 401
        assert [row["name"] for row in administrator.get("people", open="false").json()["results"]] == ["Ada Brisk"]

    def test_new_password__signs_every_device_out(self, administrator: Device) -> None:
        ada = make_ada()
        signed_in = acting_as(ada)
        body = {"password": "another road to River Dock"}
        assert administrator.post(f"people/{ada.pk}/set-password", body, if_match='"1"').status_code == 200
        assert signed_in.get("me").status_code == 401

    def test_drivers__see_themselves_alone(self) -> None:
        ada = make_ada()
        make_person("Tomo Vell", Role.DRIVER)
        assert [row["name"] for row in acting_as(ada).get("people").json()["results"]] == ["Ada Brisk"]

    def test_role_ended__and_last_administrator_kept(self, administrator: Device) -> None:
        root = Person.objects.get(username="root")
        (role,) = root.roles.all()
        answer = administrator.post(f"people/{root.pk}/roles/{role.pk}/end", {"ends_on": "2026-03-06"})
        assert (answer.status_code, answer.json()["code"]) == (409, "last_administrator")

    def test_qualification__is_recorded_listed_by_day_and_ended(self) -> None:
        office, greta = acting_as(Role.COMPLIANCE), make_person("Greta Lind", Role.MECHANIC)
        body = {
            "person": str(greta.pk),
            "scope": "brakes_repair",
            "evidence": "two years",
            "starts_on": "2025-01-01",
            "ends_on": "2026-12-31",
        }
        made = office.post("qualifications", body)
        assert (made.status_code, made.json()["person"]["name"]) == (201, "Greta Lind")
        on = {day: len(office.get("qualifications", on=day).json()["results"]) for day in ("2026-12-31", "2027-01-01")}
        assert on == {"2026-12-31": 1, "2027-01-01": 0}
        ended = office.post(f"qualifications/{made.json()['id']}/end", {"ends_on": "2026-03-06"})
        assert ended.json()["ends_on"] == "2026-03-06"
        assert acting_as(greta).get("qualifications").json()["results"][0]["id"] == made.json()["id"]

    def test_mechanics__see_their_own_qualifications_alone(self) -> None:
        make_qualification()
        assert acting_as(Role.MECHANIC).get("qualifications").json()["results"] == []


class TestSitesAndDecisions:
    def test_rule_that_the_catalogue_cannot_use__is_refused_by_whoever_reads_it(self, administrator: Device) -> None:
        answer = administrator.post("policies", {"key": "catalogue_tightening", "value": [{"colour": "red"}]})
        assert (answer.status_code, answer.json()["code"]) == (422, "carrier_rules_refused")
        assert {code for _, code in codes(answer)} == {"carrier_rule_malformed"}
        assert {place.rpartition("/")[0] for place, _ in codes(answer)} == {"/value/0"}
        assert not Policy.objects.exists()

    def test_site__is_added_edited_and_closed(self, administrator: Device) -> None:
        made = administrator.post("sites", {"code": "GRAVEL", "name": "Gravel Drop", "time_zone": "America/Chicago"})
        assert (made.status_code, made.headers["Location"]) == (201, "/api/v1/sites/GRAVEL")
        edited = administrator.patch("sites/GRAVEL", {"has_signal": False}, if_match='"1"')
        assert (edited.status_code, edited.json()["has_signal"]) == (200, False)
        closed = administrator.post("sites/GRAVEL/close", {"closed_on": "2026-03-06"}, if_match='"2"')
        assert (closed.status_code, closed.json()["allowed_actions"]) == (200, [])
        again = administrator.patch("sites/GRAVEL", {"name": "G"}, if_match='"3"')
        assert (again.status_code, again.json()["code"]) == (409, "action_not_allowed")

    @pytest.mark.parametrize("zone", ["Chicago", "", "America", "../etc/passwd", "America/Nowhere"])
    def test_zone_that_there_is_not__is_refused(self, administrator: Device, zone: str) -> None:
        answer = administrator.post("sites", {"code": "X", "name": "X", "time_zone": zone})
        assert (answer.status_code, codes(answer)[0][0]) == (422, "/time_zone")

    def test_code_taken__is_a_conflict(self, administrator: Device) -> None:
        site = make_site()
        answer = administrator.post("sites", {"code": site.code, "name": "X", "time_zone": "UTC"})
        assert (answer.status_code, answer.json()["code"]) == (409, "site_code_taken")

    @pytest.mark.parametrize("code", ["north/2", "-north", "nórth"])
    def test_code_that_no_address_can_name__is_refused(self, administrator: Device, code: str) -> None:
        body = {"code": code, "name": "North Yard", "time_zone": "America/Chicago"}
        site = administrator.post("sites", {**body, "code": "north"}).json()["code"]
        for answer in (
            administrator.post("sites", body),
            administrator.patch(f"sites/{site}", {"code": code}, if_match='"1"'),
        ):
            assert (answer.status_code, codes(answer)) == (422, [("/code", "site_code_malformed")])

    def test_carrier__is_read_by_all_and_edited_by_version(self, administrator: Device) -> None:
        assert acting_as(Role.DRIVER).get("carrier").json()["usdot_number"] == "0000000"
        edited = administrator.patch("carrier", {"name": "Ninefold"}, if_match='"1"')
        assert (edited.status_code, edited.json()["name"], edited.json()["version"]) == (200, "Ninefold", 2)

    def test_decision__follows_the_one_before_it(self, administrator: Device) -> None:
        for value, valid_from in ((12, None), (6, "2026-03-07T00:00:00-06:00")):
            body = {"key": "walk_valid_hours", "value": value, "valid_from": valid_from, "reason": "winter"}
            assert administrator.post("policies", body).status_code == 201
        assert [row["value"] for row in administrator.get("policies").json()["results"]] == [6, 12]
        at = {
            instant: [row["value"] for row in administrator.get("policies", at=instant).json()["results"]]
            for instant in ("2026-03-06T18:00:00Z", "2026-03-07T06:00:00Z")
        }
        assert at == {"2026-03-06T18:00:00Z": [12], "2026-03-07T06:00:00Z": [6]}

    @pytest.mark.parametrize(
        ("body", "expected"),
        [
            ({"key": "speed", "value": 1}, [("/key", "policy_key_unknown")]),
            ({"key": "walk_valid_hours", "value": "12"}, [("/value", "policy_not_whole_in_range")]),
            ({"key": "walk_valid_hours"}, [("/value", "required")]),
            (
                {"key": "walk_valid_hours", "value": 1, "valid_from": "2026-03-06T17:59:59Z"},
                [("/valid_from", "policy_backdated")],
            ),
        ],
    )
    def test_decision_that_does_not_do__is_refused(
        self, administrator: Device, body: dict[str, object], expected: list[tuple[str, str]]
    ) -> None:
        answer = administrator.post("policies", body)
        assert (answer.status_code, codes(answer)) == (422, expected)
        assert not Policy.objects.exists()
