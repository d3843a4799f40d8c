"""What judging a check gives back: the outcome, what it stands on, and what a foreman must look at."""

from dataclasses import dataclass
from decimal import Decimal

from defects.enums import Bars, Listing, Outcome, Severity
from defects.rules.catalogue.points import Source
from defects.rules.walkarounds.flags import Flag


@dataclass(frozen=True, slots=True)
class Verdict:
    """The judgement of one check.

    Severity and bars are set for a finding. For a `queried` answer that reported a defect where the rules cannot place
    it, they say what it would be. `rule_id` is `point#limit or finding`, or `judge#code` for a rule of this package.
    `regulation_severity` is what no regrade may go below. `accepted_value` is the value that may enter a series.
    """

    outcome: Outcome
    rule_id: str
    severity: Severity | None = None
    bars: Bars = Bars.NOTHING
    regulation_severity: Severity | None = None
    finding: str | None = None
    limit_id: str | None = None
    limit_value: Decimal | None = None
    listing: Listing = Listing.NOTED
    source: Source | None = None
    counts_as_service_brake: bool = False
    on_steering_axle: bool = False
    accepted_value: Decimal | None = None
    queries: tuple[Flag, ...] = ()

    @property
    def graded(self) -> Severity:
        """The severity of a finding; ValueError for a verdict that carries none."""
        if self.severity is None:
            msg = f"{self.rule_id} is no finding"
            raise ValueError(msg)
        return self.severity
