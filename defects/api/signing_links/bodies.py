"""Bodies of signing links, of what is signed by one, and of confirmations of firms."""

from typing import Annotated

from pydantic import Field

from common.api.bodies import ABSENT, Body
from common.api.values import Choice, Instant, Numbered, Sha256, Text, Uuid
from defects.api.defects.bodies import MeasuredSinceBody
from defects.services.records.signatures import BY_HAND
from defects.services.signing_links.outside_signing import OutsideSigner, Repaired
from fleet.enums import SignatureMethod

Line = Annotated[str, Text(120)]
Evidence = Annotated[str, Text(600, multiline=True)]
Long = Annotated[str, Text(2000, multiline=True)]


class LinkBody(Body):
    """Which defects somebody of another firm is to sign for, or the refusal that waits for a look."""

    defects: Annotated[list[Numbered], Field(min_length=1, max_length=20)] = ABSENT
    refusal: Uuid = ABSENT


class LinkedCertificateBody(Body):
    """One defect that you repaired. `photo`: the hash of one sent by this link, of the work or of the invoice."""

    defect: Numbered
    statement: Long
    photo: Sha256
    measured: MeasuredSinceBody = ABSENT

    def repaired(self) -> Repaired:
        """Return it as the services take it."""
        measured = self.measured.measured if self.measured else None
        return Repaired(self.defect, self.statement, self.photo, measured)


class HandSignature(Body):
    """Your signature, by hand: `shown` is the sentence that stood above it."""

    method: Annotated[str, Choice(BY_HAND)]
    signed_at: Instant
    shown: Annotated[str, Text(1000, multiline=True)]
    device: Annotated[str, Text(80)] = ""


class OutsiderBody(Body):
    """Who signs for which firm."""

    name: Line
    firm: Line
    title: Line = Field(default="", description="what you are there, in your words")
    brake_evidence: Evidence = Field(default="", description="who at the firm keeps that of your qualification")
    signature: HandSignature

    def signer(self) -> OutsideSigner:
        """Return who signs as the services take it."""
        return OutsideSigner(
            name=self.name,
            firm=self.firm,
            job_title=self.title,
            brake_evidence=self.brake_evidence,
            method=SignatureMethod(self.signature.method),
            signed_at=self.signature.signed_at,
            shown=self.signature.shown,
            device=self.signature.device,
        )


class LinkedLookBody(OutsiderBody):
    """What you found at the unit that was refused."""

    found: Long
    looked_at: Instant


class LinkedSignatureBody(OutsiderBody):
    """What somebody of another firm signs for each defect that was repaired."""

    certificates: Annotated[list[LinkedCertificateBody], Field(min_length=1, max_length=20)]


class FirmBody(Body):
    """That a firm is what it says, how you found out, and who there keeps the evidence for brakes (396.25(e))."""

    firm: Line
    how: Annotated[str, Text(1000, multiline=True)]
    brake_evidence: Evidence = ""
