"""Signing on a page: the sentence shown above, the name typed under it, and the name of the act that makes it one."""

from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext as _

from common import clock
from common.ids import uuid7
from pages.session import Caller


def to_sign(shown: str) -> dict[str, str]:
    """For a form: the sentence, and a new name for what will be signed, so that sending it twice is one act."""
    return {"shown": shown, "act": str(uuid7())}


def signed(sent: QueryDict) -> dict[str, Any]:
    """The act's name and its signature, as the API takes them."""
    signature = {"method": "typed", "signed_at": clock.now().isoformat(), "shown": sent.get("shown", "")}
    return {"id": sent.get("act", ""), "signature": signature}


def name_problem(caller: Caller, sent: QueryDict) -> str:
    """What is wrong with the name typed as a signature; empty where it is the person's own."""
    name = caller.me["person"]["name"]
    given = " ".join(sent.get("name", "").split())
    return (
        "" if given.casefold() == name.casefold() else _("Type your name as it is on record: {name}").format(name=name)
    )
