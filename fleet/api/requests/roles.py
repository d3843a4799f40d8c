"""Who may call, by area: the sets that views name. Which rows they see and which moves they may make is elsewhere."""

from fleet.enums import Role

ADMINISTRATOR = frozenset({Role.ADMINISTRATOR})
OFFICE = frozenset({Role.ADMINISTRATOR, Role.COMPLIANCE})
DESKS = OFFICE | {Role.DISPATCH, Role.FOREMAN}
"""The people on shift who put units and documents on record."""

SHOP = frozenset({Role.ADMINISTRATOR, Role.FOREMAN, Role.MECHANIC})
FIELD = frozenset({Role.DRIVER, Role.TRAINER})
METER_READERS = SHOP | FIELD | {Role.COMPLIANCE, Role.DISPATCH}
COUPLERS = FIELD | {Role.ADMINISTRATOR, Role.DISPATCH, Role.FOREMAN}

READERS_OF_HISTORY = OFFICE | {Role.AUDITOR, Role.DISPATCH, Role.FOREMAN, Role.MECHANIC}
"""The maintenance file names who did what; drivers read a unit's defects, holds and documents instead."""

READERS_OF_RETENTION = OFFICE | {Role.AUDITOR}
"""Who reads what was deleted, what could not leave, and where else notifications go."""
READERS_OF_ROSTER = DESKS | {Role.AUDITOR}

READERS_OF_FILES = frozenset({Role.AUDITOR, Role.COMPLIANCE})
"""A unit's file names people's evidence and holds photos as they were taken, with their place: for those alone who
see everything."""

READERS_OF_SKILLS = frozenset(Role) - {Role.DISPATCH}
"""Everybody their own; dispatch sees nothing of a person's record."""


READERS_OF_DEFECTS: frozenset[str] = frozenset(
    {Role.DRIVER, Role.MECHANIC, Role.FOREMAN, Role.COMPLIANCE, Role.DISPATCH, Role.TRAINER, Role.AUDITOR}
)
"""Any signed-in driver reads every unit's defects and holds by number: the trailer may be handed to anyone tonight."""
SEE_WORK_OF_PEOPLE: frozenset[str] = frozenset(
    {Role.FOREMAN, Role.MECHANIC, Role.COMPLIANCE, Role.AUDITOR, Role.TRAINER}
)
"""Who may ask for one person's reports and findings; everybody may ask for their own."""
