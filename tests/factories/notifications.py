from tests.factories.fleet import (
    HOLD_FACTS,
    NOON,
    give_role,
    hold_draft,
    make_carrier,
    make_site,
    make_webhook,
    owe,
    put_on_call,
    waiting_draft,
)
from tests.factories.fleet import make_bare_unit as make_unit
from tests.factories.fleet import make_recipient as make_person

__all__ = [
    "HOLD_FACTS",
    "NOON",
    "give_role",
    "hold_draft",
    "make_carrier",
    "make_person",
    "make_site",
    "make_unit",
    "make_webhook",
    "owe",
    "put_on_call",
    "waiting_draft",
]
