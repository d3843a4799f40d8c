"""The same name signs in several times at once from one address, as a double press on a slow line does."""

import pytest

from fleet.models import SignInAttempt
from fleet.services.people.sign_in_attempts import Attempt, count_attempt, forget_attempt
from tests.factories.fleet import NOON
from tests.support.at_once import at_once

AT_ONCE, ROUNDS = 4, 40


@pytest.mark.usefixtures("committing_db")
def test_counted_while_another_success_takes_the_count_away__nobody_gets_an_error() -> None:
    attempt = Attempt("iris", "192.0.2.7")

    def sign_in() -> None:
        for _ in range(ROUNDS):
            count_attempt(attempt, now=NOON)
            forget_attempt(attempt)

    at_once(AT_ONCE, sign_in)

    assert not SignInAttempt.objects.filter(failures__gt=0).exists()
