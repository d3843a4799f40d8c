"""Who signs in to the demo, and how. Nothing of it works outside a demo."""

PASSWORD = "ninefold-larder-lines"  # noqa: S105  a password of the demo, printed when it starts

PEOPLE = {
    "driver": "iris",
    "next driver": "sol",
    "driver (Spanish)": "wen",
    "trainer": "mara",
    "mechanic": "greta",
    "foreman": "hob",
    "dispatch": "cal",
    "compliance, administrator": "vera",
    "auditor": "lena",
}
