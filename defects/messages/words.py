"""What sentences show for the code words of defects: states, severities, bars, evidence. Holds no sentence."""

from django.utils.translation import gettext_lazy as _

from common.messages import Template, Words
from defects.enums import Bars, CertificateKind, DefectState, Leg, Severity

STATES: dict[str, Template] = {
    **{str(state): state.label for state in DefectState},
    "lifted": _("lifted"),
    "waiting": _("waiting"),
    "looked_at": _("looked at by a second qualified person"),
    "allowed": _("allowed"),
    "planned": _("planned"),
    "loaded": _("loaded"),
    "delivered": _("delivered"),
    "cancelled": _("cancelled"),
    "answer_owed": _("answer owed"),
    "answered": _("answered"),
}
SEVERITIES: dict[str, Template] = {str(severity): severity.label for severity in Severity}
MISSING: dict[str, Template] = {
    "what": _("what was done"),
    "by": _("who did it"),
    "photo_hash": _("the photo"),
}
"""What a fault put right on the spot must come with."""
EVIDENCE: dict[str, Template] = {
    "photo": _("a photo"),
    "measurement": _("a measurement"),
    "repeated_test": _("the test repeated by another qualified person"),
    "statement": _("a statement in words"),
}

WORDS: Words = {
    "state": STATES,
    "severity": SEVERITIES,
    "regulation": SEVERITIES,
    "bars": {str(bars): bars.label for bars in Bars},
    "evidence": EVIDENCE,
    "leg": {str(leg): leg.label for leg in Leg},
    "missing": MISSING,
    "kind": {str(kind): kind.label for kind in CertificateKind},
    "passed": {"True": _("it passed"), "False": _("it failed again")},
}
