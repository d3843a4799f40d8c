"""When what a notification of this app tells of has ended, so that it is neither sent nor escalated.

Tells nobody.
"""

from django.db.models import Exists, OuterRef, Q, TextField, Value
from django.db.models.functions import Cast, Concat

from defects.enums import OPEN_DEFECT_STATES, DefectState, RiskState, Severity
from defects.models import (
    ActiveBar,
    Certificate,
    Clearance,
    ClearanceChange,
    Defect,
    FirmConfirmation,
    Hold,
    LimitedMove,
    Load,
    LoadAtRisk,
    Report,
    RoadsideInspection,
    SecondLook,
    WorkInProgress,
)
from defects.services.clearance.notifications import BAR, CLEARANCE_CHANGE
from fleet.enums import NotificationKind
from fleet.services.notifications.endings import NotificationEnding

SUBJECT = OuterRef("subject_id")

_lifted = Hold.objects.filter(pk=SUBJECT, lifted_at__isnull=False)

# Of an answer, under its step: the turn that was told, or what came on top of it together.
_step = OuterRef(OuterRef("step"))
_turned_back = ClearanceChange.objects.filter(clearance=OuterRef("pk"), back_at__isnull=False).alias(
    step=Concat(Value(CLEARANCE_CHANGE), Cast("number", TextField()), output_field=TextField())
)
_with_it = ActiveBar.objects.filter(clearance=OuterRef("clearance"), seen_at=OuterRef("seen_at"), gone_at__isnull=True)
_gone = ActiveBar.objects.filter(~Exists(_with_it), clearance=OuterRef("pk")).alias(
    step=Concat(Value(BAR), Cast("pk", TextField()), output_field=TextField())
)

# Of a certificate: another than the link's maker said that the firm is what it says.
_confirmed = FirmConfirmation.objects.filter(firm__iexact=OuterRef("firm")).exclude(
    confirmed_by=OuterRef("link__made_by")
)
_held = Hold.objects.filter(unit=OuterRef("unit"), lifted_at__isnull=True)
_in_shop = WorkInProgress.objects.filter(unit=OuterRef("unit"), undone="")
ENDINGS = (
    NotificationEnding(
        NotificationKind.CLEARANCE_BARRED,
        Clearance.objects.filter(pk=SUBJECT).filter(
            Exists(_turned_back.filter(step=_step)) | Exists(_gone.filter(step=_step))
        ),
    ),
    NotificationEnding(NotificationKind.HOLD_PLACED, _lifted),
    NotificationEnding(NotificationKind.ORDER_BY_OFFICER, _lifted),
    NotificationEnding(
        NotificationKind.LOAD_AT_RISK, LoadAtRisk.objects.filter(pk=SUBJECT).exclude(state=RiskState.OPEN)
    ),
    NotificationEnding(NotificationKind.SEAL_DIFFERS, Load.objects.filter(pk=SUBJECT, seal_decided_at__isnull=False)),
    NotificationEnding(NotificationKind.UNIT_REFUSED, SecondLook.objects.filter(refusal_id=SUBJECT)),
    NotificationEnding(
        NotificationKind.FAULT_TO_GRADE,
        Defect.objects.filter(pk=SUBJECT).filter(Q(graded=True) | ~Q(state__in=OPEN_DEFECT_STATES)),
    ),
    NotificationEnding(
        NotificationKind.FAULT_BEFORE_USE,
        Defect.objects.filter(pk=SUBJECT).exclude(
            state__in=(DefectState.REPORTED, DefectState.IN_REPAIR), severity=Severity.BEFORE_NEXT_USE
        ),
    ),
    NotificationEnding(
        NotificationKind.FIRM_TO_CONFIRM,
        Certificate.objects.filter(pk=SUBJECT).filter(
            Q(current_for__isnull=True)
            | Exists(_confirmed.exclude(brake_evidence=""))
            | (Q(brake_evidence="") & Exists(_confirmed))
        ),
    ),
    NotificationEnding(NotificationKind.UNIT_UNKNOWN, Report.objects.filter(pk=SUBJECT, unit__isnull=False)),
    NotificationEnding(
        NotificationKind.BARRED_UNIT_ON_ROAD, Report.objects.filter(~Exists(_held), ~Exists(_in_shop), pk=SUBJECT)
    ),
    NotificationEnding(
        NotificationKind.LIMITED_MOVE_PASSED, LimitedMove.objects.filter(pk=SUBJECT, ended_at__isnull=False)
    ),
    NotificationEnding(
        NotificationKind.ROADSIDE_ANSWER_DUE, RoadsideInspection.objects.filter(pk=SUBJECT, answered_at__isnull=False)
    ),
)
