"""What a task is about, in plain words, from the defect and the catalogue that comes with the service."""

from django.conf import settings

from defects.models import Defect
from defects.rules.catalogue import load_catalogue
from defects.selectors.words import language_of, what_of_defect
from workorders.rules.scopes import scope_of


def complaint_of(defect: Defect) -> str:
    """The complaint as it is first written down: point, place, value beside its limit, finding, the finder's words.

    In the installation's own language, since the shop may write on in it. Titles and findings keep their names in
    every version of the catalogue, so no older one is read for them.
    """
    words = [what_of_defect(defect, load_catalogue(), settings.LANGUAGE_CODE)]
    point = load_catalogue().get(defect.point)
    if point is not None:
        finding = point.finding(defect.finding)
        if finding is not None:
            words.append(finding.text[language_of(settings.LANGUAGE_CODE)])
        if defect.text:
            words.append(defect.text)
    return ". ".join(words)


def scope_of_defect(defect: Defect) -> str:
    """What the work on a defect asks a person to be qualified for; empty when nothing particular."""
    point = load_catalogue().get(defect.point)
    return scope_of(None if point is None else point.system, service_brake=defect.counts_as_service_brake)
