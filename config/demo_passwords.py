"""How the demo keeps its passwords: they stand on the screen, so a slow hash would protect nothing."""

from django.contrib.auth.hashers import PBKDF2PasswordHasher


class DemoPasswordHasher(PBKDF2PasswordHasher):
    """Django's own, with too few rounds for anything but the demo, which makes twenty of them at its first start."""

    iterations = 10_000
