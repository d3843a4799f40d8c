"""Signing links, what is signed by one, and confirmations of firms, as they are shown."""

from datetime import datetime
from typing import Annotated, Self
from uuid import UUID

from django.utils.translation import gettext as _
from pydantic import Field

from common.api.answers import Answer
from common.api.values import Word
from defects.api.defects.answers import DecimalWord, decimal_or_none
from defects.enums import Evidence, LinkState
from defects.models import Defect, SigningLink
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.certificates import brake_scopes, system_of
from defects.selectors.defects.defects import evidence_of
from defects.selectors.defects.naming import what_of_defect
from defects.selectors.signing_links import link_state
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitShort
from fleet.models import Carrier


class LinkAnswer(Answer):
    """A signing link, without its token."""

    id: UUID
    state: Annotated[str, Word(LinkState)]
    defects: list[int]
    refusal: UUID | None
    made_by: PersonShort
    made_at: datetime
    expires_at: datetime
    used_at: datetime | None
    revoked_at: datetime | None

    @classmethod
    def of_link(cls, link: SigningLink, now: datetime, **more: object) -> Self:
        """Return a link as its makers see it."""
        defects = sorted(defect.number for defect in link.defects.all())
        return cls.of(link, state=link_state(link, now=now), defects=defects, refusal=link.refusal_id, **more)


class NewLinkAnswer(LinkAnswer):
    """A signing link that has just been made."""

    token: str = Field(description="Whoever has it may sign once; told this once. Send it as Signing-Link.")


class LinkedDefectAnswer(Answer):
    """One defect to sign for: what was found, and what shows that it is repaired."""

    defect: int
    unit: UnitShort
    what: str
    found_at: datetime
    value: DecimalWord | None
    limit: DecimalWord | None
    unit_of_measure: str
    evidence: Annotated[str, Word(Evidence)] = Field(description="besides the photo")
    of_brakes: bool = Field(description="whether `brake_evidence` is asked of a signer without qualification on record")

    @classmethod
    def of_defect(cls, defect: Defect, catalogue: Catalogue, language: str) -> Self:
        system = system_of(catalogue.get(defect.point), defect.source)
        return cls.of(
            defect,
            defect=defect.number,
            what=what_of_defect(defect, catalogue, language),
            value=decimal_or_none(defect.value),
            limit=decimal_or_none(defect.limit_value),
            evidence=evidence_of(defect, catalogue),
            of_brakes=bool(brake_scopes(system, counts_as_service_brake=defect.counts_as_service_brake)),
        )


class LinkedRefusalAnswer(Answer):
    """The refusal that waits for a second look."""

    unit: UnitShort
    reason: str
    refused_at: datetime


class OpenedLinkAnswer(Answer):
    """What a signer sees: for whom, until when, the defects, and the sentence to sign under."""

    carrier: str
    made_by: str
    expires_at: datetime
    defects: list[LinkedDefectAnswer]
    refusal: LinkedRefusalAnswer | None
    sentence: str

    @classmethod
    def of_link(cls, link: SigningLink, catalogue: Catalogue, language: str) -> Self:
        """Return a link as the signer sees it."""
        defects = link.defects.select_related("unit").order_by("number")
        return cls.of(
            link,
            carrier=Carrier.objects.values_list("name", flat=True).first() or "",
            made_by=link.made_by.name,
            defects=[LinkedDefectAnswer.of_defect(defect, catalogue, language) for defect in defects],
            sentence=_("I did this work, and these faults are repaired.")
            if link.refusal is None
            else _("I looked at this unit, and found what I wrote."),
        )


class LinkSignedAnswer(Answer):
    """What was signed: the numbers of the defects, and the firm while somebody else is to confirm it."""

    defects: list[int]
    firm_to_confirm: str


class LookSignedAnswer(Answer):
    """The unit that was looked at."""

    unit: UnitShort
    found: str


class FirmAnswer(Answer):
    """One confirmation of a firm."""

    id: UUID
    firm: str
    how: str
    brake_evidence: str
    confirmed_by: PersonShort
    confirmed_at: datetime
