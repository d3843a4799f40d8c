"""What fleet announces. Sent with `send`, inside the transaction: a listener that fails undoes the whole write.

`policy_set`: policy (the new row), now. A listener that knows what its key means may refuse the value with Invalid.
`documents_recorded`: documents (of units, recorded or given another first day), work (the unit of work), from_table
(imported). A listener may refuse them with Conflict, except those of a table.
`unit_given_away`: unit (locked; ours until now, its owner set and not saved). A listener may refuse it with Conflict.
`cooling_readings_learned`: unit (the key of a cooling unit, locked), readings (those newly learned from), work.
"""

from django.dispatch import Signal

policy_set = Signal()
documents_recorded = Signal()
unit_given_away = Signal()
cooling_readings_learned = Signal()
