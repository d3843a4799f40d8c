"""The words of the driver's own copy of a refusal, in the driver's language. Stores nothing."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import translation
from django.utils.translation import gettext as _


@dataclass(frozen=True)
class Copy:
    """What a copy says; both instants are in the carrier's zone."""

    driver: str
    carrier: str
    unit: str
    plate: str
    reason: str
    defects: Sequence[str]
    refused_at: datetime
    received_at: datetime


def write_copy(copy: Copy, language: str) -> str:
    """The whole text, one line for each thing, ended by a line end."""
    with translation.override(language):
        lines = [
            _("Refusal to drive a unit: the driver's own copy"),
            _("Driver: {driver}").format(driver=copy.driver),
            _("Carrier: {carrier}").format(carrier=copy.carrier),
            _("Unit: {unit}").format(unit=copy.unit),
            *([_("Plate: {plate}").format(plate=copy.plate)] if copy.plate else []),
            _("Refused: {instant}").format(instant=copy.refused_at.isoformat(timespec="seconds")),
            _("Received by the carrier: {instant}").format(instant=copy.received_at.isoformat(timespec="seconds")),
            _("Reason: {reason}").format(reason=copy.reason),
            *(_("Defect: {what}").format(what=what) for what in copy.defects),
            _(
                "Nobody may be coerced or punished for refusing a vehicle that breaks a safety rule or that a driver "
                "reasonably believes to be unsafe (49 U.S.C. 31105; 49 CFR 390.6). A complaint of coercion must be "
                "filed within 90 days, one of retaliation within 180 days."
            ),
            _("Do not offer the unit until a second qualified person has looked."),
        ]
    return "".join(f"{line}\n" for line in lines)
