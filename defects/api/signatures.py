"""A signature as a body brings it: that of whoever sends it."""

from typing import Annotated

from common.api.bodies import Body
from common.api.values import Instant, Text
from defects.services.signatures import Signing
from fleet.enums import SignatureMethod
from fleet.models import Person


class OwnSignature(Body):
    """The signature of whoever sends it: `shown` is the sentence that stood above it."""

    method: SignatureMethod
    signed_at: Instant
    shown: Annotated[str, Text(1000, multiline=True)]
    device: Annotated[str, Text(80)] = ""

    def signing(self, person: Person) -> Signing:
        """Return it as the signature of the person who sends it."""
        return Signing(person, self.method, self.signed_at, self.shown, self.device)
