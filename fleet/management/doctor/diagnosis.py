"""What an examination says: something wrong in one sentence, and what to do in another."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Diagnosis:
    """Something wrong."""

    wrong: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.wrong} -> {self.remedy}"


def first_line(why: Exception) -> str:
    """The first line of an error: the database's have several."""
    return str(why).strip().partition("\n")[0]
