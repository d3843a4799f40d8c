"""Sentences about keeping records: what freezes a file, and what was deleted after its days."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "legal_hold_unknown": _("There is no such legal hold."),
    "content_deleted": _("Kept until {retained_until} ({rule}, {source}), purged {deleted_on}. Its hash remains."),
}
