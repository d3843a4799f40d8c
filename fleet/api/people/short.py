"""A person in short."""

from uuid import UUID

from common.api.answers import Answer


class PersonShort(Answer):
    """A person in short."""

    id: UUID
    name: str
