"""Mail over a real SMTP conversation with a server of the test's own."""

from typing import Any

import pytest
from pytest_django import Settings

from fleet.services.notifications.channels import MailSender
from fleet.services.notifications.composing import Mail
from tests.support.mail_sink import MailSink, mail_sink

__all__ = ["mail_sink"]


def letter(number: int, **changes: str) -> Mail:
    values: dict[str, Any] = {
        "to": "hob@carrier.invalid",
        "subject": "Hold 12 on unit LR-46",
        "text": "lining 2 mm",
        "html": "<p>lining</p>",
        "language": "es",
    }
    return Mail(**values | changes, message_id=f"<{number}@localhost>")


@pytest.fixture
def sender(mail_sink: MailSink, settings: Settings) -> MailSender:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", mail_sink.port
    return MailSender()


def test_letters_one_after_another__on_one_connection(sender: MailSender, mail_sink: MailSink) -> None:
    for number in range(3):
        sender.send(letter(number))
    sender.close()

    assert mail_sink.message_ids == ["<0@localhost>", "<1@localhost>", "<2@localhost>"]
    assert mail_sink.sessions == 1
    assert mail_sink.messages[0]["Content-Language"] == "es"


def test_closed__next_letter_opens_another(sender: MailSender, mail_sink: MailSink) -> None:
    sender.send(letter(0))
    sender.close()
    sender.send(letter(1))
    sender.close()

    assert mail_sink.sessions == 2


def test_subject_in_another_script__arrives_whole(sender: MailSender, mail_sink: MailSink) -> None:
    sender.send(letter(0, subject="Retención 12 de la unidad LR-46"))
    sender.close()

    assert mail_sink.messages[0]["Subject"].startswith("=?utf-8?")


def test_server_that_is_not_there__says_so(sender: MailSender, settings: Settings) -> None:
    settings.EMAIL_PORT = 1
    lonely = MailSender()

    with pytest.raises(OSError, match="refused"):
        lonely.send(letter(0))
    lonely.close()
