"""What defects announces. Sent with `send`, inside the transaction: a listener that fails undoes the whole write.

`defects_reported`: defects (to be repaired, from next shop visit upward), work (the unit of work); `seen_at` if walked.
`defects_certified`: certificates (with their defects), work.
`defects_withdrawn`: defects (entered in error: nothing is to be repaired), work.
"""

from django.dispatch import Signal

defects_reported = Signal()
defects_certified = Signal()
defects_withdrawn = Signal()
