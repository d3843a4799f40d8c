"""Names in an address, for `path`."""

from django.urls.converters import UUIDConverter


class AnyUuidConverter(UUIDConverter):
    """`<key:…>` in a path: a UUID of any version in either case, as whoever made it writes it."""

    regex = "[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{12}"
