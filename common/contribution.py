"""All that common contributes to what runs over every app: its own sentences."""

from common.composition import Contribution
from common.sentences import SENTENCES

CONTRIBUTION = Contribution("common", (SENTENCES,))
