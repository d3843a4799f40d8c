"""The honest peer: the walk-around in plain Django REST Framework, as a good team writes it on a first day.

A project of its own with a database of its own on the same server; nothing of the service is imported. It gets the very
bodies that the service gets. Frozen before the service was tuned: it is a measure, so it is never tuned.

What it does: token authentication of the framework; nested serializers check every field, every answer and every leg
against the catalogue of points (a table, read once by each process), measured values against their limits, and that
each place is answered or covered by a leg; in one transaction it locks the units in key order and stores the
walk-around, its signature, a report for each unit with its answers as JSON, the measured values, a defect for each
answer that says so, and a history entry for each unit; it answers with a receipt. The same body under the same key
again gets the receipt again.

What it does not do: no hash chain and no retention over the history; no grading, holds, notifications, couplings,
corrected clocks, third-party units or flags; what is not as described is refused, where the service keeps it; one
language, no permissions beyond being signed in, no problem documents.

Settings: what `startproject` writes, without the admin and with the framework's token table; JSON only; persistent
connections; client-side binding, as is the default; gunicorn with as many synchronous workers as the service.
"""
