"""Sites over HTTP: what is changed of one."""

import pytest

from fleet.enums import Role
from tests.factories.fleet import make_site
from tests.support.acting import acting_as

pytestmark = pytest.mark.usefixtures("carrier")


def test_change__what_is_sent_and_nothing_else() -> None:
    site = make_site()
    before = acting_as(Role.ADMINISTRATOR).get(f"sites/{site.code}")
    changed = acting_as(Role.ADMINISTRATOR).patch(
        f"sites/{site.code}", {"address": "7 Dock Road"}, if_match=before.headers["ETag"]
    )
    assert changed.status_code == 200
    said = {**before.json(), "address": "7 Dock Road", "version": before.json()["version"] + 1}
    assert changed.json() == said
