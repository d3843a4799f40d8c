"""What a walk-around says about itself besides its reports: when, where, with whom, by which catalogue. Writes nothing.

What is not known is queried, with the code and the facts of its sentence.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.walkarounds.body import Submission
from defects.rules.walkarounds.timing import Timing
from defects.selectors.catalogue import stored_catalogue
from defects.services.walkarounds.rows import Queried
from fleet.models import Person, Site


@dataclass(frozen=True)
class Particulars:
    """`catalogues`: the one in force and behind it the older one that the phone carried, if it did.

    `named` is the one that the phone says it carried, None where it names none or none of ours.
    """

    catalogues: Sequence[Catalogue]
    named: Catalogue | None
    site: Site | None
    team_mate: Person | None
    queried: Sequence[Queried]


def particulars_of(submission: Submission, timing: Timing, in_force: Catalogue) -> Particulars:
    """Look up what a walk-around names, in a statement each where it names something."""
    queried: list[Queried] = [dict(flag) for flag in submission.flags]
    queried += [{"code": code, "facts": {}} for code in timing.queries]
    body = submission.body
    if not body.reports:
        queried.append({"code": "nothing_reported", "facts": {}})
    named = in_force if body.catalogue == in_force.content_hash else None
    catalogues = [in_force]
    if named is None and body.catalogue:
        named = stored_catalogue(body.catalogue)
        if named is None:
            queried.append({"code": "catalogue_unknown", "facts": {"catalogue": body.catalogue}})
        else:
            catalogues.append(named)
    site = Site.objects.filter(code__iexact=body.site).first() if body.site else None
    if body.site and site is None:
        queried.append({"code": "site_unknown", "facts": {"site": body.site}})
    team_mate = _team_mate(body.team_mate)
    if body.team_mate and team_mate is None:
        queried.append({"code": "team_mate_unknown", "facts": {"team_mate": body.team_mate}})
    return Particulars(catalogues, named, site, team_mate, queried)


def _team_mate(name: str) -> Person | None:
    """The other driver of a team who agrees to the report (396.11(a)(2)(ii)), by name at sign-in."""
    return Person.objects.filter(username__iexact=name, left_on__isnull=True).first() if name else None
