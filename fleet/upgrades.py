"""What an upgrade may do beside the release that still serves, and how far back one may go. Data alone."""

from collections.abc import Mapping

SINCE: Mapping[str, str] = {
    "fleet": "0030_signed_setting_aside",
    "defects": "0023_paused_for_cold_freight",
    "workorders": "0004_paused_for_cold_freight",
}
"""The last migration of the first release that shows what a newer one wrote: none goes back further (decision 51)."""

STOP_FIRST: Mapping[tuple[str, str], str] = {
    ("fleet", "0037_names_of_the_glossary"): "renames the tables of notifications, on-call shifts and job runs",
    ("fleet", "0038_columns_of_the_glossary"): "renames columns of documents, notifications, deletions and meters",
    ("defects", "0026_names_of_the_glossary"): "renames the tables of clearance changes and active bars",
    ("defects", "0027_columns_of_the_glossary"): "renames columns of clearances, reports and defects",
}
"""Migrations after these that may not run while an older release serves, each with the reason.

tests/architecture/test_upgrades.py finds them by their operations and wants them named here.
"""

FORGETTABLE = frozenset(
    {"fleet_delivery.cause", "fleet_queuereport", "fleet_signinattempt", "fleet_jobplace", "fleet_jobrun"}
)
"""Tables, and columns as `table.column`, that a step back may drop: they are made again or missed by nobody."""
