"""A PostgreSQL address as libpq writes it, taken apart for Django and put together for a child process.

Not a general parser: PostgreSQL is the only database here.
"""

from dataclasses import dataclass, replace
from urllib.parse import quote, unquote, urlencode, urlsplit


class UrlInvalid(Exception):
    """The address is not one of PostgreSQL; the message never repeats it, since it holds a password."""


@dataclass(frozen=True)
class Database:
    """One database as one role; `host` is a name or the folder of a socket, empty parts mean libpq's default."""

    name: str
    user: str
    password: str
    host: str
    port: str
    options: dict[str, str]

    def url(self) -> str:
        """Return the address again; a socket's folder goes into the query, where libpq looks for it."""
        login = quote(self.user, safe="")
        if self.password:
            login += ":" + quote(self.password, safe="")
        query = dict(self.options)
        place = self.host
        if place.startswith("/"):
            query["host"], place = place, ""
        elif ":" in place:
            place = f"[{place}]"
        if self.port and not place:
            query["port"] = self.port
        elif self.port:
            place += f":{self.port}"
        return (
            f"postgresql://{login}{'@' if login else ''}{place}/{quote(self.name, safe='')}"
            + ("?" if query else "")
            + urlencode(query, quote_via=quote)
        )

    def with_name(self, name: str) -> "Database":
        """Return the same server and role with another database."""
        return replace(self, name=name)

    def with_user(self, user: str, password: str = "") -> "Database":
        """Return the same database as another role."""
        return replace(self, user=user, password=password)


def parse(url: str) -> Database:
    """Take a `postgresql://` address apart; raise UrlInvalid for another scheme, a bad port or no database name."""
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError as why:
        raise UrlInvalid("is not a valid address") from why
    if parts.scheme not in ("postgresql", "postgres"):
        raise UrlInvalid("must begin with postgresql://, no other database is supported")
    name = unquote(parts.path.removeprefix("/"))
    if not name:
        raise UrlInvalid("names no database after the host")
    # Not parse_qsl: to libpq a plus is a plus.
    pairs = (pair.partition("=") for pair in parts.query.split("&") if pair)
    options = {unquote(key): unquote(value) for key, _, value in pairs}
    return Database(
        name=name,
        user=unquote(parts.username or ""),
        password=unquote(parts.password or ""),
        host=options.pop("host", unquote(parts.hostname or "")),
        port=options.pop("port", str(port or "")),
        options=options,
    )
