"""What an upgrade may do beside the release that still serves, and what a step back may drop. Data alone."""

from collections.abc import Mapping

LAST_BEFORE = "451d538fc4db5ae88042f88f000644a49639c2a0"
"""The last commit before all migrations were joined: a database of an earlier one goes by way of it (decision 58)."""

STOP_FIRST: Mapping[tuple[str, str], str] = {
    ("defects", "0002_columns_of_the_glossary"): "columns get other names",
    ("defects", "0008_one_file_for_each_photo"): "a column goes that a function of the release before reads",
    ("defects", "0011_us_states_and_what_was_found"): "columns get other names",
    ("fleet", "0002_columns_of_the_glossary"): "columns get other names",
}
"""Migrations that may not run while an older release serves, each with the reason.

tests/architecture/test_upgrades.py finds them by their operations and wants them named here.
"""

FORGETTABLE = frozenset(
    {"fleet_delivery.cause", "fleet_queuereport", "fleet_signinattempt", "fleet_jobplace", "fleet_jobrun"}
)
"""Tables, and columns as `table.column`, that a step back may drop: they are made again or missed by nobody."""
