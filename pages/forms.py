"""What was wrong with a form, from the problem that the API answered: beside its field where it names one."""

from typing import Any

from pages.calls import ApiAnswer


def problems_of(answer: ApiAnswer) -> dict[str, Any]:
    """For a template: `problem`, the sentence over the form, and `errors`, the sentence of each field by its name."""
    problem = answer.body
    errors = {entry["pointer"].strip("/"): entry["detail"] for entry in problem.get("errors", ()) if "pointer" in entry}
    return {"problem": problem["detail"], "errors": errors}
