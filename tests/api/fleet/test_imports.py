"""Tables taken in over HTTP, as the person who fills them in meets them."""

import pytest
from django.test import Client

from common.ids import uuid7
from fleet.enums import Role
from tests.factories.fleet import caller, make_carrier

pytestmark = pytest.mark.django_db


def test_smoke(settings):
    make_carrier()
    vera = caller(Role.COMPLIANCE)
    t = vera.get("imports/units/template.csv")
    assert t.status_code == 200, t.content
    r = Client().generic(
        "POST",
        "/api/v1/imports/units?mode=dry_run",
        t.content,
        content_type="text/csv",
        headers=vera._headers(key=str(uuid7())),
    )
    print(r.status_code, r.content)
    t = vera.get("imports/units/template.xlsx")
    r = Client().generic(
        "POST",
        "/api/v1/imports/units?mode=partial",
        t.content,
        content_type="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        headers=vera._headers(key=str(uuid7())),
    )
    print(r.status_code, r.content)
    c = b"kind,number,vin,plate,model_year\r\ntractor,NL-11,,0012,2024\r\ntrailer,LR-1,1XN9AN7X5TK000019,,\r\n,X,,,\r\n"
    for mode in ("dry_run", "all_or_nothing", "partial", "partial"):
        r = Client().generic(
            "POST",
            f"/api/v1/imports/units?mode={mode}",
            c,
            content_type="text/csv",
            headers=vera._headers(key=str(uuid7())),
        )
        print(r.status_code, r.content.decode())
    assert 0
