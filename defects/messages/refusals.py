"""What is refused about defects, holds, certificates, reviews, refusals and moves, in the words of the problem."""

from django.utils.translation import gettext_lazy as _

from common.constraints import register_constraint
from common.messages import register

# Handing in a walk-around
register("walkaround_differs", _("Another walk-around is on record under this name; nothing was changed."))
register("signed_by_another", _("A walk-around is signed by the person who hands it in."))
register("busy", _("Others are writing about these units; send it again."))

# Reading
register("defect_unknown", _("There is no such defect."))
register("hold_unknown", _("There is no such hold."))
register("report_unknown", _("There is no such report."))
register("catalogue_unknown", _("No catalogue of this hash was ever in force here."))
register("walk_needs_units", _("Name a tractor, a trailer or both."))
register("not_of_this_kind", _("The unit named is of another kind."))
