"""Which refusal a broken database constraint stands for; filled by the apps, read where errors are answered."""

_codes: dict[str, str] = {}


def register_constraint(name: str, code: str) -> None:
    """Say that breaking constraint `name` is refused with `code`; ValueError when it already means another one."""
    if _codes.setdefault(name, code) != code:
        msg = f"constraint {name!r} already means {_codes[name]!r}"
        raise ValueError(msg)


def constraint_code(name: str) -> str | None:
    """Return the code of a constraint, None for one that nobody registered."""
    return _codes.get(name)
