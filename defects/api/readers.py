"""Who may read what drivers find: everybody who works with units. What a person may see of others is in the views."""

from fleet.enums import Role

READERS: frozenset[str] = frozenset(
    {
        Role.DRIVER,
        Role.MECHANIC,
        Role.FOREMAN,
        Role.COMPLIANCE,
        Role.DISPATCH,
        Role.TRAINER,
        Role.AUDITOR,
    }
)
"""Any signed-in driver reads every unit's defects and holds by number: the trailer may be handed to anyone tonight."""
