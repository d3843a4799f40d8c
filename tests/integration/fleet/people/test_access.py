"""What ends feeds and webhooks beside those who made them, and what each event says in the log of security events."""

import datetime as dt
import logging
import re
from logging.config import dictConfig

import pytest
from django.db import connection

from config.settings.logs import logging_settings
from fleet.enums import Role, Scope
from fleet.models import FeedToken, Person, PersonRole, WebhookEndpoint
from fleet.services.documents.feeds import revoke_feed
from fleet.services.notifications.webhooks import close_webhook, record_webhook
from fleet.services.people.access import Ended, end_access_that_is_over
from fleet.services.people.people import create_person, edit_person, leave, set_password
from fleet.services.people.roles import end_qualification, end_role, grant_qualification, grant_role
from fleet.services.people.sign_in import revoke_token
from tests.factories.fleet import (
    NOON,
    TODAY,
    PersonRoleFactory,
    make_carrier,
    make_feed,
    make_person,
    make_site,
    make_token,
)
from tests.support.security import told

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)
URL = "https://hooks.carrier.invalid/in?secret=of-hob"


@pytest.fixture(autouse=True)
def root() -> Person:
    make_carrier()
    return make_person("Root Admin", Role.ADMINISTRATOR, username="root")


@pytest.fixture
def hob() -> Person:
    return make_person("Hob Anselm", Role.FOREMAN, username="hob")


def post_to(person: Person, root: Person, ends_on: dt.date | None = None) -> WebhookEndpoint:
    return record_webhook(person_id=person.pk, url=URL, ends_on=ends_on, actor=root, now=NOON)


class TestByThemselves:
    def test_last_day__is_the_last(self, hob: Person, root: Person) -> None:
        feed, _ = make_feed(hob)
        FeedToken.objects.update(ends_on=TODAY)
        webhook = post_to(hob, root, TODAY)
        assert end_access_that_is_over(now=NOON) == Ended(feeds=0, webhooks=0)
        later = NOON + DAY
        assert end_access_that_is_over(now=later) == Ended(feeds=1, webhooks=1)
        assert end_access_that_is_over(now=later) == Ended(feeds=0, webhooks=0)
        feed.refresh_from_db()
        webhook.refresh_from_db()
        assert (feed.revoked_at, webhook.closed_at, webhook.closed_by) == (later, later, None)

    @pytest.mark.parametrize(
        ("left", "ended"),
        [
            ({}, Ended(1, 1)),
            ({"role": Role.DRIVER}, Ended(1, 0)),
            ({"role": Role.FOREMAN, "starts_on": TODAY + 9 * DAY}, Ended(0, 0)),
            ({"role": Role.AUDITOR, "ends_on": TODAY}, Ended(0, 0)),
            ({"role": Role.AUDITOR, "ends_on": TODAY - DAY}, Ended(1, 1)),
        ],
    )
    def test_last_role__takes_them_along(
        self, hob: Person, root: Person, left: dict[str, object], ended: Ended
    ) -> None:
        make_feed(hob)
        post_to(hob, root)
        PersonRole.objects.filter(person=hob).delete()
        if left:
            PersonRoleFactory.create(person=hob, **{"starts_on": dt.date(2026, 1, 1), **left})
        assert end_access_that_is_over(now=NOON) == ended

    def test_whoever_recorded_a_webhook__may_leave(self, hob: Person, root: Person) -> None:
        other = make_person("Vera Holt", Role.ADMINISTRATOR, username="vera")
        webhook = post_to(hob, other)
        leave(person_id=other.pk, version=1, left_on=TODAY, today=TODAY, actor=root, now=NOON)
        assert end_access_that_is_over(now=NOON) == Ended(feeds=0, webhooks=0)
        webhook.refresh_from_db()
        assert webhook.closed_at is None

    @pytest.mark.parametrize("why", ["left", "given"])
    def test_leaving_and_a_password_given__close_the_webhook(self, hob: Person, root: Person, why: str) -> None:
        webhook = post_to(hob, root)
        if why == "left":
            leave(person_id=hob.pk, version=1, left_on=TODAY, today=TODAY, actor=root, now=NOON)
        else:
            set_password(person_id=hob.pk, version=1, password="a long way to River Dock", actor=root, now=NOON)
        webhook.refresh_from_db()
        assert (webhook.closed_at, webhook.closed_by) == (NOON, root)

    def test_first_password__closes_no_webhook(self, hob: Person, root: Person) -> None:
        hob.set_unusable_password()
        hob.save()
        webhook = post_to(hob, root)
        set_password(person_id=hob.pk, version=1, password="a long way to River Dock", actor=root, now=NOON)
        webhook.refresh_from_db()
        assert webhook.closed_at is None

    def test_feed_that_an_older_release_makes__lasts_a_year(self, hob: Person) -> None:
        with connection.cursor() as cursor:
            cursor.execute(
                "INSERT INTO fleet_feedtoken (id, person_id, name, token_hash, filters, created_at)"
                " VALUES (gen_random_uuid(), %s, 'x', 'd', '{}', now()) RETURNING ends_on - CURRENT_DATE",
                [hob.pk],
            )
            assert cursor.fetchone() == (365,)


class TestEvents:
    def test_roles_and_qualifications__who_gave_and_ended_which(
        self, hob: Person, root: Person, caplog: pytest.LogCaptureFixture
    ) -> None:
        caplog.set_level(logging.INFO, "security")
        site = make_site()
        role = grant_role(
            person_id=hob.pk, role=Role.MECHANIC, site_id=site.pk, starts_on=TODAY, ends_on=None, actor=root, now=NOON
        )
        end_role(person_id=hob.pk, role_id=role.pk, ends_on=TODAY, actor=root, now=NOON)
        row = grant_qualification(
            person_id=hob.pk,
            scope=Scope.BRAKES_REPAIR,
            evidence="course",
            starts_on=TODAY,
            ends_on=None,
            actor=root,
            now=NOON,
        )
        end_qualification(qualification_id=row.pk, ends_on=TODAY, actor=root, now=NOON)
        at = f'"{site}"' if " " in str(site) else str(site)
        days = "starts_on=2026-03-06 ends_on=None"
        assert told(caplog) == [
            f"role_given name=hob actor=root address=console role=mechanic site={at} {days} console=False",
            "role_ended name=hob actor=root address=console role=mechanic ends_on=2026-03-06",
            "qualification_recorded name=hob actor=root address=console scope=brakes_repair starts_on=2026-03-06",
            "qualification_ended name=hob actor=root address=console scope=brakes_repair ends_on=2026-03-06",
        ]

    def test_sign_ins__who_gave_took_and_reset_which(self, root: Person, caplog: pytest.LogCaptureFixture) -> None:
        caplog.set_level(logging.INFO, "security")
        first, second = "a long way to River Dock", "another road to River Dock"
        ada = create_person(facts={"name": "Ada", "username": "ada"}, password=first, actor=root)
        edit_person(person_id=ada.pk, version=1, changes={"username": "ada.b"}, actor=root, now=NOON)
        edit_person(person_id=ada.pk, version=2, changes={"phone": "555"}, actor=root, now=NOON)
        row, _ = make_token(ada)
        revoke_token(token_id=row.pk, actor=root, now=NOON)
        set_password(person_id=ada.pk, version=3, password=second, actor=root, now=NOON)
        edit_person(person_id=ada.pk, version=4, changes={"username": None}, actor=root, now=NOON)
        leave(person_id=ada.pk, version=5, left_on=TODAY, today=TODAY, actor=root, now=NOON)
        assert told(caplog) == [
            "sign_in_given name=ada actor=root address=console",
            "sign_in_renamed name=ada.b actor=root address=console before=ada",
            "device_signed_out name=ada.b actor=root address=console device=phone",
            "password_given name=ada.b actor=root address=console",
            "sign_in_taken_away name=ada.b actor=root address=console",
            "person_left name=Ada actor=root address=console left_on=2026-03-06",
        ]
        for secret in (first, second):
            assert secret not in caplog.text

    def test_feeds_and_webhooks__made_and_ended_by_whom_or_by_time(
        self, hob: Person, root: Person, caplog: pytest.LogCaptureFixture
    ) -> None:
        caplog.set_level(logging.INFO, "security")
        feed, token = make_feed(hob)
        hob.current_roles = frozenset({Role.FOREMAN})
        revoke_feed(feed_id=feed.pk, actor=hob, now=NOON)
        make_feed(hob)
        first = post_to(hob, root)
        close_webhook(webhook_id=first.pk, actor=root, now=NOON)
        second = post_to(hob, root, TODAY)
        end_access_that_is_over(now=NOON + 366 * DAY)
        assert told(caplog) == [
            "feed_made name=hob actor=hob address=console what=papers ends_on=2027-03-06",
            "feed_ended name=hob actor=hob address=console what=papers why=revoked",
            "feed_made name=hob actor=hob address=console what=papers ends_on=2027-03-06",
            "webhook_made name=hob actor=root address=console host=hooks.carrier.invalid ends_on=None",
            f"webhook_ended name=hob actor=root address=console what={first.pk} why=closed",
            "webhook_made name=hob actor=root address=console host=hooks.carrier.invalid ends_on=2026-03-06",
            'feed_ended name=hob actor="" address=console what=papers why=over',
            f'webhook_ended name=hob actor="" address=console what={second.pk} why=over',
        ]
        for secret in (token, first.secret, second.secret, "of-hob"):
            assert secret not in caplog.text

    @pytest.mark.parametrize(
        ("form", "line"),
        [
            ("text", r" INFO security \S+ feed_made name=hob actor=hob address=\S+ what=papers"),
            ("json", r'"logger": "security".*"event": "feed_made", "facts": {"name": "hob", "actor": "hob"'),
        ],
    )
    def test_log_level__leaves_no_event_out(
        self, hob: Person, form: str, line: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        dictConfig(logging_settings("ERROR", form))  # its stream is the one that is captured
        make_feed(hob)
        assert re.search(line, capsys.readouterr().err)
        with capsys.disabled():
            dictConfig(logging_settings("INFO", "text"))
