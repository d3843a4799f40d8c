"""What the doctor says of settings and mail, each broken in one place."""

from collections.abc import Iterable

import pytest
from pytest_django import Settings

from fleet.management.doctor.deployment import examine_mail, examine_settings
from fleet.management.doctor.diagnosis import Diagnosis
from tests.support.ports import free_port

SMTP = "django.core.mail.backends.smtp.EmailBackend"


@pytest.fixture
def sound(settings: Settings) -> Settings:
    """As an installation is set up that has nothing wrong."""
    settings.LOCAL_DEMO = False
    settings.SECRET_KEY = "aB3-cD4_eF5-gH6_iJ7-kL8_mN9-oP0_qR1-sT2_uV3-wX4_yZ5"
    settings.ALLOWED_HOSTS = ["clearance.example"]
    settings.SECURE_SSL_REDIRECT = settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = True
    settings.SECURE_HSTS_SECONDS = 31_536_000
    settings.SECURE_HSTS_INCLUDE_SUBDOMAINS = settings.SECURE_HSTS_PRELOAD = True
    settings.TRUSTED_PROXIES = ["127.0.0.1"]
    settings.MAIL_SERVER_SET = True
    settings.DEFAULT_FROM_EMAIL = "notices@clearance.example"
    return settings


def wrong(diagnoses: Iterable[Diagnosis]) -> list[str]:
    return [diagnosis.wrong for diagnosis in diagnoses]


def test_sound_installation__nothing_is_wrong(sound: Settings) -> None:
    assert wrong(examine_settings()) == []
    assert wrong(examine_mail()) == []


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("LOCAL_DEMO", True, "LOCAL_DEMO is set"),
        ("DEBUG", True, "DEBUG"),
        ("SECRET_KEY", "a" * 60, "SECRET_KEY"),
        ("ALLOWED_HOSTS", [], "ALLOWED_HOSTS"),
        ("ALLOWED_HOSTS", ["*"], "lets every host name in"),
        ("TRUSTED_PROXIES", [], "TRUSTED_PROXIES names no proxy"),
    ],
)
def test_one_setting_is_wrong__said_and_nothing_else(sound: Settings, name: str, value: object, said: str) -> None:
    setattr(sound, name, value)
    (only,) = wrong(examine_settings())
    assert said in only


def test_no_mail_server__said(sound: Settings) -> None:
    sound.MAIL_SERVER_SET = False
    (only,) = wrong(examine_mail())
    assert "no mail server is set" in only


def test_sender_of_nowhere__said(sound: Settings) -> None:
    sound.DEFAULT_FROM_EMAIL = "notices@localhost"
    (only,) = wrong(examine_mail())
    assert "EMAIL_SENDER is notices@localhost" in only


def test_mail_server_is_away__said_with_its_address(sound: Settings) -> None:
    sound.EMAIL_BACKEND, sound.EMAIL_HOST, sound.EMAIL_PORT = SMTP, "127.0.0.1", free_port()
    (only,) = wrong(examine_mail())
    assert f"127.0.0.1:{sound.EMAIL_PORT} does not let us in" in only
