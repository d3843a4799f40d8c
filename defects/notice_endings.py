"""When what a notice of this app tells of has ended, so that it is neither sent nor escalated.

Tells nobody.
"""

from django.db.models import Exists, OuterRef, Q, TextField, Value
from django.db.models.functions import Cast, Concat

from defects.enums import OPEN_DEFECT_STATES, DefectState, RiskState, Severity
from defects.models import (
    AnswerFlip,
    Clearance,
    Defect,
    Hold,
    Load,
    LoadAtRisk,
    Report,
    RoadsideInspection,
    SecondLook,
    StandingBar,
)
from defects.services.telling_of_flips import BAR, FLIP
from fleet.enums import NoticeKind
from fleet.services.notifications.endings import NoticeEnding

SUBJECT = OuterRef("subject_id")

_lifted = Hold.objects.filter(pk=SUBJECT, lifted_at__isnull=False)

# Of an answer, under its step: the turn that was told, or what came on top of it together.
_step = OuterRef(OuterRef("step"))
_turned_back = AnswerFlip.objects.filter(clearance=OuterRef("pk"), back_at__isnull=False).alias(
    step=Concat(Value(FLIP), Cast("number", TextField()), output_field=TextField())
)
_with_it = StandingBar.objects.filter(
    clearance=OuterRef("clearance"), seen_at=OuterRef("seen_at"), gone_at__isnull=True
)
_gone = StandingBar.objects.filter(~Exists(_with_it), clearance=OuterRef("pk")).alias(
    step=Concat(Value(BAR), Cast("pk", TextField()), output_field=TextField())
)
ENDINGS = (
    NoticeEnding(
        NoticeKind.ANSWER_FLIPPED,
        Clearance.objects.filter(pk=SUBJECT).filter(
            Exists(_turned_back.filter(step=_step)) | Exists(_gone.filter(step=_step))
        ),
    ),
    NoticeEnding(NoticeKind.HOLD_PLACED, _lifted),
    NoticeEnding(NoticeKind.ORDER_BY_OFFICER, _lifted),
    NoticeEnding(NoticeKind.LOAD_AT_RISK, LoadAtRisk.objects.filter(pk=SUBJECT).exclude(state=RiskState.OPEN)),
    NoticeEnding(NoticeKind.SEAL_DIFFERS, Load.objects.filter(pk=SUBJECT, seal_decided_at__isnull=False)),
    NoticeEnding(NoticeKind.UNIT_REFUSED, SecondLook.objects.filter(refusal_id=SUBJECT)),
    NoticeEnding(
        NoticeKind.FAULT_TO_GRADE,
        Defect.objects.filter(pk=SUBJECT).filter(Q(graded=True) | ~Q(state__in=OPEN_DEFECT_STATES)),
    ),
    NoticeEnding(
        NoticeKind.FAULT_BEFORE_USE,
        Defect.objects.filter(pk=SUBJECT).exclude(
            state__in=(DefectState.REPORTED, DefectState.IN_REPAIR), severity=Severity.BEFORE_NEXT_USE
        ),
    ),
    NoticeEnding(NoticeKind.UNIT_UNKNOWN, Report.objects.filter(pk=SUBJECT, unit__isnull=False)),
    NoticeEnding(
        NoticeKind.ROADSIDE_ANSWER_DUE, RoadsideInspection.objects.filter(pk=SUBJECT, answered_at__isnull=False)
    ),
)
