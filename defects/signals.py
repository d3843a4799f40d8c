"""What defects announces. Sent with `send`, inside the transaction: a listener that fails undoes the whole write.

`defects_reported`: defects (to be repaired, from next shop visit upward), ledger, actor, now; `seen_at` when walked.
`defects_certified`: certificates (with their defects), ledger, actor, now.
`defects_withdrawn`: defects (entered in error: nothing is to be repaired), ledger, actor, now.
"""

from django.dispatch import Signal

defects_reported = Signal()
defects_certified = Signal()
defects_withdrawn = Signal()
