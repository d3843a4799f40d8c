"""What every test may use; the fixtures themselves stand in `tests/support`, one file per noun."""

pytest_plugins = [
    "tests.support.drills",
    "tests.support.garbage",
    "tests.support.left_behind",
    "tests.support.history_sentences",
    "tests.support.database",
    "tests.support.committing",
    "tests.support.local_postgres",
    "tests.support.ninefold",
    "tests.support.ninefold_at_noon",
    "tests.support.worlds",
    "tests.support.browser",
]
