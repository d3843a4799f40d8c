"""How long the entries are kept that defects writes into a unit's history."""

from fleet.rules.records.retention import Happened, Retained, Retention, as_kind

report = as_kind("driver_report")
maintenance = as_kind("maintenance")
load = as_kind("load")


def photo(happened: Happened) -> Retained:
    """A photo that proves a repair as the repair itself, a scale ticket's as its load, any other as its report."""
    if "load" in happened.said:
        return load(happened)
    return maintenance(happened) if happened.said.get("proves_repair") else report(happened)


RETENTIONS = (
    # The report, the certification of the repair and that of the driver's review: 396.11(a)(4). The certificate is the
    # record of a repair as well, and the later of the two days counts.
    Retention(report, ("report_signed", "report_assigned", "report_set_aside", "driver_reviewed")),
    Retention(photo, ("photo_received",)),
    Retention(as_kind("roadside_inspection"), ("roadside_inspected", "roadside_answered")),
    Retention(
        maintenance,
        (
            "certificate_signed",
            "deferral_ended",
            "defect_closed",
            "defect_entered_in_error",
            "defect_graded",
            "defect_raised",
            "defect_regraded",
            "defect_reopened",
            "defect_reported",
            "defect_seen_again",
            "defect_seen_late",
            "fault_corrected_on_the_spot",
            "hold_lifted",
            "hold_placed",
            "inspection_flagged",
            "limited_move_allowed",
            "limited_move_ended",
            "look_link_made",
            "second_look",
            "signing_link_made",
            "test_repeated",
            "tire_mounted",
            "tire_removed",
            "unit_refused",
            "yard_move",
        ),
    ),
    Retention(
        load,
        (
            "box_checked_before_loading",
            "load_at_risk_disposed",
            "load_at_risk_entry",
            "load_at_risk_joined",
            "load_at_risk_opened",
            "load_changed",
            "load_out_of_range",
            "load_weighed",
            "loaded",
            "seal_compared",
            "seal_differs",
            "seal_decided",
            "unloaded",
        ),
    ),
)
