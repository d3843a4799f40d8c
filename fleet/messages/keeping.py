"""Sentences about keeping records: what freezes a file, and what was deleted after its days."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "legal_hold_unknown": _("There is no such legal hold."),
    "content_deleted": _(
        "What it said was kept until {kept_until} ({rule}, {source}) and deleted on {deleted_on}; its hash stays."
    ),
}
