"""What whoever sets the service up is told."""

from django.utils.translation import gettext_lazy as _

from common.messages import Messages

MESSAGES: Messages = {
    "role_too_strong": _("The database role {role} owns or may do more than the web process should."),
}
