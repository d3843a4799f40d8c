"""What a task is about, in plain words, from the defect and the point catalogue."""

from collections.abc import Iterable
from datetime import datetime

from django.conf import settings

from defects.enums import Bars
from defects.models import Defect
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.rules.certificates import system_of
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.defects.naming import what_of_defect
from fleet.selectors.carrier.carrier import effective_policies
from workorders.rules.tasks import scope_of


def catalogue_naming(defects: Iterable[Defect], *, now: datetime) -> Catalogue:
    """The catalogue that comes with the service if it names every defect's point, else the carrier's own as well.

    Points keep their titles and findings under every tightening, so policies are read only for points that the
    carrier added.
    """
    known = load_catalogue()
    if all(not defect.point or known.get(defect.point) is not None for defect in defects):
        return known
    return catalogue_judging(now=now)


def catalogue_judging(*, now: datetime) -> Catalogue:
    """The catalogue in force, with the carrier's own limits."""
    return catalogue_in_force(effective_policies(now=now).policies)


def complaint_of(defect: Defect, catalogue: Catalogue) -> str:
    """The complaint as it is first written down: the defect's name, then the finder's own words.

    In the installation's own language, since the shop writes on in it.
    """
    what = what_of_defect(defect, catalogue, settings.LANGUAGE_CODE)
    return what if what.endswith(defect.text) else f"{what}. {defect.text}"


def is_for_the_shop(defect: Defect, catalogue: Catalogue) -> bool:
    """Whether the shop must end it: what a driver ends by a later answer is none of its work."""
    point = catalogue.get(defect.point)
    return point is None or not point.ends_by_driver or defect.bars == Bars.MOVEMENT


def scope_of_defect(defect: Defect, catalogue: Catalogue) -> str:
    """What the work on a defect asks a person to be qualified for; empty when nothing particular."""
    system = system_of(catalogue.get(defect.point), defect.source)
    return scope_of(system, service_brake=defect.counts_as_service_brake)
