"""What the apps contribute, assembled: the one place that knows all of them."""

from defects.contribution import CONTRIBUTION as DEFECTS
from fleet.contribution import CONTRIBUTION as FLEET
from workorders.contribution import CONTRIBUTION as WORKORDERS

CONTRIBUTIONS = (FLEET, DEFECTS, WORKORDERS)
