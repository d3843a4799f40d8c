"""Where the judges of this package put what they find, until it is weighed. Weighs nothing itself."""

from dataclasses import dataclass, field
from datetime import datetime

from defects.rules.clearance.answer import Ending, Facts, LeftOpen, Reason, Unknown
from defects.rules.clearance.brakes import BrakeFault
from defects.rules.clearance.codes import Code, EndsWhen, ReasonKind
from defects.rules.clearance.meanings import CODES


@dataclass(slots=True)
class DraftAnswer:
    """What was found about one clearance request. `brake_faults` are weighed over the whole combination."""

    reasons: list[Reason] = field(default_factory=list)
    unknown: list[Unknown] = field(default_factory=list)
    left_open: list[LeftOpen] = field(default_factory=list)
    endings: list[Ending] = field(default_factory=list)
    brake_faults: list[BrakeFault] = field(default_factory=list)

    def bar(
        self,
        code: Code,
        unit: str,
        ends_when: EndsWhen,
        facts: Facts = (),
        *,
        source: str = "",
        since: datetime | None = None,
        expected_at: datetime | None = None,
    ) -> None:
        """Add a reason that bars; its source is the code's own unless the fact has a nearer one."""
        source = source or CODES[code].source
        self.reasons.append(Reason(ReasonKind.BARS, code, unit, facts, source, ends_when, since, expected_at))

    def step(
        self, code: Code, unit: str, ends_when: EndsWhen, facts: Facts = (), *, since: datetime | None = None
    ) -> None:
        """Add something the driver still has to do."""
        self.reasons.append(Reason(ReasonKind.DRIVER_STEP, code, unit, facts, CODES[code].source, ends_when, since))

    def not_known(self, code: Code, unit: str, ends_when: EndsWhen, facts: Facts = ()) -> None:
        """Add something that was not or could not be assessed and does not bar for that."""
        self.unknown.append(Unknown(code, unit, facts, ends_when))

    def leave_open(self, code: Code, unit: str, facts: Facts = ()) -> None:
        """Add something that stands and is said beside the answer."""
        self.left_open.append(LeftOpen(code, unit, facts))

    def ends(self, leave_by: datetime, code: Code, unit: str, facts: Facts) -> None:
        """Note the instant from which leaving would add a reason by time alone."""
        self.endings.append(Ending(leave_by, code, unit, facts))
