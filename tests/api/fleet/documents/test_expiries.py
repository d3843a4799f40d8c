"""The expiry list over HTTP: what is on it, in which order, for whom, in which form."""

import csv
import datetime as dt
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.enums import Role, Scope, UnitKind
from fleet.models import Document, Person, PersonRole, Qualification, Unit
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.qualified import qualification_kinds
from fleet.services.carrier.policies import set_policy
from tests.factories.fleet import (
    NOON,
    TODAY,
    DocumentFactory,
    PersonRoleFactory,
    PolicyFactory,
    QualificationFactory,
    make_carrier,
    make_document,
    make_person,
    make_site,
    make_unit,
)
from tests.support.acting import Device, acting_as, codes

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def carrier() -> None:
    """A carrier that has said that no conditional document applies."""
    make_carrier()
    long_ago = NOON - 1000 * DAY
    PolicyFactory.create(key="document_conditions", value={}, valid_from=long_ago)


@pytest.fixture
def desk() -> Device:
    return acting_as(Role.COMPLIANCE, name="Vera Holt")


def decide(key: str, value: object) -> None:
    set_policy(key=key, value=value, valid_from=None, reason="", actor=make_person("Vee"), now=NOON)


def rows(clearance_request: Device, **query: str) -> list[dict[str, Any]]:
    answer = clearance_request.get("expiries", **query)
    assert answer.status_code == 200, answer.content
    found: list[dict[str, Any]] = answer.json()["results"]
    return found


def in_short(found: list[dict[str, Any]]) -> list[tuple[str, str, str, int | None]]:
    return [
        (
            (row["unit"] or {"number": (row["person"] or {"name": "-"})["name"]})["number"],
            row["kind"],
            row["status"],
            row["days_left"],
        )
        for row in found
    ]


def paper(unit: Unit, ends_on: dt.date | None, kind: str = "registration", **facts: Any) -> Document:
    given = {"starts_on": dt.date(2024, 7, 1), "ends_on": ends_on, **facts}
    return make_document(unit, kind=kind, **given)


def inspected(unit: Unit, starts_on: dt.date, **facts: Any) -> Document:
    return make_document(unit, kind="periodic_inspection", starts_on=starts_on, ends_on=None, **facts)


class TestOrder:
    def test_list__expired_first_then_missing_then_by_day(self, desk: Device) -> None:
        one, two = make_unit(number="NL-11"), make_unit(UnitKind.TRAILER, "LR-41")
        paper(one, TODAY + 20 * DAY)
        paper(two, TODAY - 3 * DAY)
        inspected(two, dt.date(2025, 3, 7))
        found = rows(desk, subject="tractor") + rows(desk, subject="trailer")
        assert sorted(in_short(found)) == sorted(in_short([r for r in rows(desk) if r["subject"] != "carrier"]))
        assert in_short(rows(desk)) == [
            ("LR-41", "registration", "expired", -3),
            ("-", "biennial_update", "missing", None),
            ("NL-11", "periodic_inspection", "missing", None),
            ("-", "unified_registration_fee", "missing", None),
            ("LR-41", "periodic_inspection", "due", 0),
            ("NL-11", "registration", "due", 20),
        ]

    def test_last_day__is_in_date_until_midnight_in_chicago(
        self, desk: Device, frozen_clock: time_machine.Traveller
    ) -> None:
        paper(make_unit(number="NL-11"), dt.date(2026, 3, 7))
        frozen_clock.move_to(dt.datetime(2026, 3, 8, 5, 59, 59, tzinfo=dt.UTC))
        assert [(r["status"], r["days_left"]) for r in rows(desk, kind="registration")] == [("due", 0)]
        frozen_clock.move_to(dt.datetime(2026, 3, 8, 6, 0, tzinfo=dt.UTC))
        assert [(r["status"], r["days_left"]) for r in rows(desk, kind="registration")] == [("expired", -1)]

    def test_row__says_both_readings_and_where_the_rule_is_written(self, desk: Device) -> None:
        unit = make_unit(UnitKind.TRAILER, "LR-44")
        kept = inspected(unit, dt.date(2025, 3, 13))
        [row] = rows(desk, kind="periodic_inspection")
        assert row["id"] == row["document"] == str(kept.pk)
        assert desk.get(row["link"]).json()["id"] == str(kept.pk)
        assert (row["ends_on"], row["ends_on_month"], row["last_day"]) == ("2026-03-12", "2026-03-31", "2026-03-12")
        assert (row["days_left"], row["says"]) == (6, "Due: the last day is Thu 12 Mar 2026.")
        assert (row["kind_text"], row["source"]) == ("periodic inspection", "49 CFR 396.17(a), (c), (f)")
        assert row["bars_clearance"] is True

    @pytest.mark.parametrize("program", ["self", "state"])
    @pytest.mark.parametrize("reading", ["by_day", "by_month_end"])
    def test_state_program_or_policy__reads_by_month_end(self, desk: Device, program: str, reading: str) -> None:
        decide("periodic_inspection_reading", reading)
        inspected(make_unit(UnitKind.TRAILER), dt.date(2025, 3, 5), program=program)
        [row] = rows(desk, kind="periodic_inspection")
        by_month = program == "state" or reading == "by_month_end"
        assert (row["last_day"], row["status"]) == (("2026-03-31", "due") if by_month else ("2026-03-04", "expired"))
        assert rows(desk, kind="periodic_inspection", ends_by="2026-03-30") == ([] if by_month else [row])

    def test_words__are_the_readers_own(self) -> None:
        paper(make_unit(number="NL-11"), TODAY - DAY)
        wen = acting_as(make_person("Wen Castel", Role.DRIVER, language="es"))
        [row] = rows(wen, kind="registration")
        assert (row["kind_text"], row["says"]) == (
            "registro del vehículo",
            "Vencido: el último día fue el jue 5 mar 2026.",
        )


class TestGrace:
    @pytest.mark.parametrize(
        ("today", "status", "days_left", "in_grace", "says"),
        [
            ("2025-12-31", "due", 0, False, "Due: the last day is Wed 31 Dec 2025."),
            ("2026-01-01", "due", 58, True, "In grace until Sat 28 Feb 2026."),
            ("2026-02-28", "due", 0, True, "In grace until Sat 28 Feb 2026."),
            ("2026-03-01", "expired", -1, False, "Expired: the last day was Sat 28 Feb 2026."),
        ],
    )
    def test_fuel_tax_licence__is_in_grace_to_1_march_and_not_expired(
        self, frozen_clock: time_machine.Traveller, today: str, status: str, days_left: int, in_grace: bool, says: str
    ) -> None:
        """International Fuel Tax Agreement: the renewed licence and decals aboard by 1 March."""
        paper(make_unit(number="NL-11"), None, kind="fuel_tax_licence", starts_on=dt.date(2025, 1, 1))
        clearance_request = acting_as(Role.COMPLIANCE)
        PersonRole.objects.update(starts_on=dt.date(2025, 1, 1))
        frozen_clock.move_to(dt.datetime.fromisoformat(f"{today}T18:00:00+00:00"))
        [row] = rows(clearance_request, kind="fuel_tax_licence")
        assert (row["status"], row["days_left"], row["in_grace"], row["says"]) == (status, days_left, in_grace, says)
        assert (row["ends_on"], row["grace_until"]) == ("2025-12-31", "2026-02-28")

    def test_horizon__counts_to_the_documents_own_end(self, desk: Device, frozen_clock: time_machine.Traveller) -> None:
        paper(make_unit(number="NL-11"), None, kind="fuel_tax_licence", starts_on=dt.date(2026, 1, 1))
        assert rows(desk, kind="fuel_tax_licence", ends_by="2026-12-30") == []
        assert [row["days_left"] for row in rows(desk, kind="fuel_tax_licence", ends_by="2026-12-31")] == [300]


def qualified(person: Person, scope: Scope, ends_on: dt.date | None) -> Qualification:
    return QualificationFactory.create(
        person=person, scope=scope, evidence="course", starts_on=dt.date(2025, 1, 1), ends_on=ends_on
    )


class TestQualifications:
    def test_ends__stand_among_the_documents_in_every_form(self, desk: Device) -> None:
        nell, site = make_person("Nell Park"), make_site("North")
        Person.objects.filter(pk=nell.pk).update(home_site=site)
        held = qualified(nell, Scope.BRAKES_REPAIR, TODAY + 5 * DAY)
        paper(make_unit(UnitKind.TRAILER, "LR-41"), TODAY + 3 * DAY)
        qualified(nell, Scope.TIRES, TODAY - DAY)
        qualified(nell, Scope.REFRIGERANT, None)
        listed = [row for row in rows(desk) if row["status"] != "missing"]
        assert in_short(listed) == [
            ("Nell Park", "qualification_tires", "expired", -1),
            ("LR-41", "registration", "due", 3),
            ("Nell Park", "qualification_brakes_repair", "due", 5),
        ]
        row = listed[-1]
        assert (row["document"], row["qualification"], row["link"], row["id"]) == (
            None,
            str(held.pk),
            f"/api/v1/qualifications/{held.pk}",
            str(held.pk),
        )
        assert (row["kind_text"], row["last_day"], row["site"], row["bars_clearance"], row["source"]) == (
            "qualified to repair brakes",
            (TODAY + 5 * DAY).isoformat(),
            site.code,
            False,
            "49 CFR 396.25",
        )
        assert desk.get(row["link"]).status_code == 200
        table = list(csv.DictReader(StringIO(desk.get("expiries", format="csv").content.decode("utf-8-sig"))))
        assert [line["last_day"] for line in table if line["kind"] == row["kind"]] == [row["last_day"]]
        assert b"Nell Park: qualified to repair brakes" in desk.get("expiries", format="ics").content

    def test_one_renewed__is_listed_by_its_newest_end_alone(self, desk: Device) -> None:
        nell = make_person("Nell Park")
        qualified(nell, Scope.TIRES, TODAY - 10 * DAY)
        newest = qualified(nell, Scope.TIRES, TODAY + 10 * DAY)
        assert [row["id"] for row in rows(desk, kind="qualification_tires")] == [str(newest.pk)]
        qualified(nell, Scope.TIRES, None)
        assert rows(desk, kind="qualification_tires") == []

    def test_horizon_person_and_who_sees_it__as_of_a_persons_documents(self, desk: Device) -> None:
        nell, sam = make_person("Nell Park"), make_person("Sam Ruy", Role.MECHANIC)
        qualified(nell, Scope.TIRES, TODAY + 10 * DAY)
        qualified(sam, Scope.TIRES, TODAY + 20 * DAY)
        assert len(rows(desk, kind="qualification_tires")) == 2
        assert in_short(rows(desk, within_days="15", subject="person")) == [
            ("Nell Park", "qualification_tires", "due", 10)
        ]
        assert in_short(rows(desk, person=str(sam.pk))) == [("Sam Ruy", "qualification_tires", "due", 20)]
        assert in_short(rows(acting_as(sam), subject="person")) == [("Sam Ruy", "qualification_tires", "due", 20)]
        make_unit(number="NL-11")
        assert "qualification_tires" not in {row["kind"] for row in rows(desk, unit="NL-11")}
        Person.objects.filter(pk=nell.pk).update(left_on=TODAY)
        assert len(rows(desk, kind="qualification_tires")) == 1

    def test_kinds__are_the_scopes_that_people_are_qualified_for(self) -> None:
        assert set(qualification_kinds()) == {f"qualification_{scope}" for scope in Scope}
        assert not set(qualification_kinds()) & set(load_document_kinds())


class TestMissing:
    def test_conditional_documents__are_missing_only_once_the_carrier_says_so(self, desk: Device) -> None:
        make_unit(number="NL-11")
        assert [row["kind"] for row in rows(desk, unit="NL-11")] == ["periodic_inspection", "registration"]
        decide("document_conditions", {"tractor": ["taxable_55000_lb"], "carrier": ["for_hire"]})
        assert [row["kind"] for row in rows(desk, unit="NL-11")] == [
            "heavy_vehicle_use_tax",
            "periodic_inspection",
            "registration",
        ]
        assert "insurance" in [row["kind"] for row in rows(desk, subject="carrier")]

    def test_documents_given_by_states__are_missing_where_the_units_run(self, desk: Device) -> None:
        make_unit(UnitKind.COOLING_UNIT, "CU-41")
        tractor = make_unit(number="NL-11")
        assert rows(desk, unit="CU-41") == []
        decide("states_run", ["CA", "NM", "OR", "TX"])
        assert [(row["kind"], row["us_state"]) for row in rows(desk, unit="CU-41")] == [
            ("cooling_unit_in_use_standard", "CA"),
            ("cooling_unit_label", "CA"),
        ]
        make_document(tractor, kind="weight_distance_permit", us_state="NM", ends_on=dt.date(2027, 1, 1))
        found = [(row["us_state"], row["status"]) for row in rows(desk, kind="weight_distance_permit")]
        assert found == [("OR", "missing"), ("NM", "valid")]

    def test_persons_document__missing_where_carrier_and_scope_require_it(self, desk: Device) -> None:
        greta, sam = make_person("Greta Lind", Role.MECHANIC), make_person("Sam Ruy", Role.MECHANIC)
        for scope, ends_on in ((Scope.PERIODIC_INSPECTION, None), (Scope.BRAKES_REPAIR, TODAY - DAY)):
            QualificationFactory.create(
                person=greta, scope=scope, evidence="x", starts_on=TODAY - 9 * DAY, ends_on=ends_on, recorded_by=sam
            )
        assert [row for row in rows(desk, subject="person") if row["status"] == "missing"] == []
        decide("document_conditions", {"person": ["inspects_periodically", "answers_for_brakes"]})
        assert in_short([row for row in rows(desk, subject="person") if row["status"] == "missing"]) == [
            ("Greta Lind", "periodic_inspector_evidence", "missing", None)
        ]

    def test_missing_row__keeps_its_key_from_one_clearance_request_to_the_next(self, desk: Device) -> None:
        make_unit(number="NL-11")
        first = rows(desk, unit="NL-11")
        assert len({row["id"] for row in first}) == 2
        assert rows(desk, unit="NL-11") == first
        assert [(row["document"], row["link"]) for row in first] == [(None, None)] * 2

    def test_document_held_of_any_date__is_not_missing_and_a_replaced_one_is_not_listed(self, desk: Device) -> None:
        old = paper(make_unit(number="NL-11"), TODAY - 400 * DAY)
        assert [row["status"] for row in rows(desk, kind="registration")] == ["expired"]
        body = {"ends_on": "2027-03-01"}
        assert desk.post(f"documents/{old.pk}/replace", body, if_match='"1"').status_code == 201
        assert [(row["status"], row["last_day"]) for row in rows(desk, kind="registration")] == [
            ("valid", "2027-03-01")
        ]

    def test_permanent_registration__is_on_no_expiry_list(self, desk: Device) -> None:
        paper(make_unit(UnitKind.TRAILER, "LR-41"), None, permanent=True)
        assert rows(desk, kind="registration") == []

    def test_retired_unit_and_person_who_left__are_not_asked_after(self, desk: Device) -> None:
        unit = make_unit(number="NL-11")
        paper(unit, TODAY - DAY)
        ada = make_person("Ada Brisk", Role.DRIVER)
        DocumentFactory.create(kind="medical_certificate", person=ada, ends_on=TODAY, recorded_by=ada)
        assert {row["subject"] for row in rows(desk)} == {"tractor", "person", "carrier"}
        Unit.objects.update(retired_on=TODAY)
        Person.objects.filter(pk=ada.pk).update(left_on=TODAY)
        assert {row["subject"] for row in rows(desk)} == {"carrier"}


class TestFilters:
    def test_each_filter__cuts_down_to_its_own(self, desk: Device) -> None:
        north, south = make_site("North"), make_site("River")
        one = make_unit(number="NL-11", home_site_id=north.pk)
        two = make_unit(UnitKind.TRAILER, "LR-41", home_site_id=south.pk)
        for unit, days in ((one, 10), (two, 40)):
            paper(unit, TODAY + days * DAY)
            inspected(unit, dt.date(2025, 9, 1))
        of_kind = {"kind": "registration"}
        assert [row["unit"]["number"] for row in rows(desk, **of_kind)] == ["NL-11", "LR-41"]
        assert [row["site"] for row in rows(desk, site=south.code)] == [south.code, south.code]
        assert [row["kind"] for row in rows(desk, unit="lr-41")] == ["registration", "periodic_inspection"]
        assert [row["kind"] for row in rows(desk, subject="trailer")] == ["registration", "periodic_inspection"]
        assert [row["days_left"] for row in rows(desk, within_days="10", **of_kind)] == [10]
        assert rows(desk, within_days="9", **of_kind) == []
        assert [row["days_left"] for row in rows(desk, ends_by="2026-04-15", **of_kind)] == [10, 40]
        assert [row["days_left"] for row in rows(desk, ends_by="2026-04-15", within_days="39", **of_kind)] == [10]

    @pytest.mark.parametrize(
        ("query", "code"),
        [
            ({"within_days": "-1"}, "min_value"),
            ({"within_days": "soon"}, "not_whole"),
            ({"ends_by": "2026-02-30"}, "not_a_day"),
            ({"kind": "passport"}, "invalid_choice"),
            ({"subject": "ship"}, "invalid_choice"),
            ({"unit": "a@b@c"}, "unit_reference_malformed"),
            ({"responsible": "vera"}, "not_uuid"),
            ({"site": "nowhere"}, "site_unknown"),
            ({"format": "pdf"}, "invalid_choice"),
        ],
    )
    def test_value_that_is_none_of_a_parameters_own__is_refused(
        self, desk: Device, query: dict[str, str], code: str
    ) -> None:
        answer = desk.get("expiries", **query)
        assert (answer.status_code, answer.json()["code"]) == (400, "invalid_parameter")
        assert codes(answer) == [(*query, code)]

    def test_responsible__holds_compliance_at_the_home_site_or_everywhere(self) -> None:
        north, south = make_site("North"), make_site("River")
        vera, lena = make_person("Vera Holt"), make_person("Lena Moor")
        clearance_request = acting_as(make_person("Audra", Role.AUDITOR))
        at = {"north": north.pk, "south": south.pk, "none": None}
        for name, site in at.items():
            paper(make_unit(number=name, home_site_id=site), TODAY)
        query = {"kind": "registration"}

        def asked() -> dict[str, list[str]]:
            found = rows(clearance_request, **query)
            shown = {row["unit"]["number"]: [each["name"] for each in row["responsible"]] for row in found}
            for person in (vera, lena):
                own = [row["unit"]["number"] for row in rows(clearance_request, responsible=str(person.pk), **query)]
                assert sorted(own) == sorted(number for number, names in shown.items() if person.name in names)
            return shown

        PersonRole.objects.filter(person__name="Vera Holt", role=Role.COMPLIANCE).delete()
        assert asked() == {"north": [], "south": [], "none": []}
        PersonRoleFactory.create(person=lena, role=Role.COMPLIANCE, site=south, starts_on=TODAY)
        assert asked() == {number: ["Lena Moor"] for number in at}
        PersonRoleFactory.create(person=vera, role=Role.COMPLIANCE, site=north, starts_on=TODAY)
        assert asked() == {"north": ["Vera Holt"], "south": ["Lena Moor"], "none": ["Lena Moor", "Vera Holt"]}
        PersonRole.objects.filter(person=vera).update(site=None)
        assert asked() == {
            "north": ["Vera Holt"],
            "south": ["Lena Moor", "Vera Holt"],
            "none": ["Lena Moor", "Vera Holt"],
        }


class TestWhoSeesWhat:
    def test_persons_documents__are_seen_by_compliance_auditor_administrator_and_oneself(self) -> None:
        ada = make_person("Ada Brisk", Role.DRIVER)
        DocumentFactory.create(kind="medical_certificate", person=ada, ends_on=TODAY, recorded_by=ada)
        paper(make_unit(number="NL-11"), TODAY)
        seen = {role: [row["kind"] for row in rows(acting_as(role), ends_by="2026-03-06")] for role in Role}
        knowing = {Role.COMPLIANCE, Role.AUDITOR, Role.ADMINISTRATOR}
        for role, kinds in seen.items():
            assert "registration" in kinds, role
            assert ("medical_certificate" in kinds) == (role in knowing), role
        assert "medical_certificate" in [row["kind"] for row in rows(acting_as(ada))]
        assert rows(acting_as(Role.DISPATCH), person=str(ada.pk)) == []
        assert [row["kind"] for row in rows(acting_as(Role.COMPLIANCE), person=str(ada.pk))] == ["medical_certificate"]


class TestPages:
    def test_pages__meet_backwards_too_over_ends_and_missing(self, desk: Device) -> None:
        for number in range(7):
            paper(make_unit(number=f"NL-{number}"), TODAY + (number - 3) * DAY)
        whole = rows(desk)
        assert {row["status"] for row in whole} == {"expired", "missing", "due"}
        page = desk.get("expiries", limit="4").json()
        pages = [page["results"]]
        while page["next"]:
            page = desk.get(page["next"]).json()
            pages.append(page["results"])
        assert [row for each in pages for row in each] == whole
        back = [page["results"]]
        while page["previous"]:
            page = desk.get(page["previous"]).json()
            back.insert(0, page["results"])
        assert back == pages

    def test_cursor_of_another_list__is_refused(self, desk: Device) -> None:
        for _ in range(3):
            paper(make_unit(), TODAY)
        other = desk.get("documents", limit="1").json()["next"].partition("cursor=")[2].partition("&")[0]
        answer = desk.get("expiries", cursor=other.replace("%3A", ":"))
        assert (answer.status_code, answer.json()["code"]) == (400, "bad_cursor")

    def test_list__takes_as_many_statements_for_2000_rows_as_for_20(self, desk: Device) -> None:
        vera = make_person("Vee")

        def fill(first: int, count: int) -> None:
            units = Unit.objects.bulk_create(
                Unit(kind="trailer", number=f"X-{number}", recorded_at=NOON) for number in range(first, first + count)
            )
            Document.objects.bulk_create(
                Document(kind="registration", unit=unit, ends_on=TODAY, recorded_at=NOON, recorded_by=vera)
                for unit in units
            )

        def statements(**query: str) -> int:
            with CaptureQueriesContext(connection) as captured:
                assert desk.get("expiries", **query).status_code == 200
            return len(captured)

        forms: list[dict[str, str]] = [{}, {"limit": "200"}, {"format": "csv"}, {"format": "xlsx"}, {"format": "ics"}]
        fill(0, 10)
        few = [statements(**query) for query in forms]
        fill(10, 990)
        assert [statements(**query) for query in forms] == few == [4] * 5
        assert desk.get("expiries", format="csv").content.count(b"\r\n") == 1 + 2 * 1000 + 2


class TestForms:
    def test_table__has_a_line_for_each_row_and_no_formula(self, desk: Device) -> None:
        paper(make_unit(number="NL-11"), TODAY, number='=HYPERLINK("http://x","y")')
        paper(make_unit(number="NL-12"), TODAY, number='+1,"2"')
        for number, start in (("NL-13", "-"), ("NL-14", "@")):
            paper(make_unit(number=number), TODAY, number=f"{start}1")
        answer = desk.get("expiries", format="csv", kind="registration")
        assert answer.headers["Content-Type"] == "text/csv; charset=utf-8; header=present"
        lines = list(csv.DictReader(StringIO(answer.content.decode(), newline="")))
        told = rows(desk, kind="registration")
        assert [line["id"] for line in lines] == [row["id"] for row in told]
        assert [line["number"] for line in lines] == [f"'{row['number']}" for row in told]
        assert {line["days_left"] for line in lines} == {"0"}
        assert '"\'+1,""2"""' in answer.content.decode()

    def test_accept_header__chooses_the_form_and_one_that_there_is_not_is_refused(self, desk: Device) -> None:
        types = ("text/calendar", "text/csv", "application/json")
        answers = [desk.send("GET", "expiries", headers={"Accept": each}) for each in types]
        assert [answer.headers["Content-Type"].partition(";")[0] for answer in answers] == list(types)
        assert answers[0].headers["Content-Type"] == "text/calendar; charset=utf-8"
        assert {answer.status_code for answer in answers} == {200}
        assert desk.send("GET", "expiries", headers={"Accept": "application/pdf"}).status_code == 406

    def test_whole_list__takes_no_page(self, desk: Device) -> None:
        answer = desk.get("expiries", format="csv", limit="2")
        assert (answer.status_code, answer.json()["code"], answer.json()["unknown"]) == (
            400,
            "unknown_parameter",
            ["limit"],
        )

    def test_list_that_is_too_long__is_refused_whole(self, desk: Device, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("fleet.selectors.documents.expiries.listing.MOST_ROWS", 3)
        make_unit(number="NL-11")
        assert len(rows(desk)) == 4
        answer = desk.get("expiries", format="csv")
        assert (answer.status_code, answer.json()["code"], answer.json()["max_rows"]) == (400, "list_too_long", 3)

    def test_same_list__is_the_same_file_and_not_sent_twice(self, desk: Device) -> None:
        paper(make_unit(number="NL-11"), TODAY)
        for form in ("csv", "xlsx", "ics"):
            first, second = desk.get("expiries", format=form), desk.get("expiries", format=form)
            assert first.content == second.content
            assert first.headers["ETag"] == second.headers["ETag"]
