"""What the apps contribute, assembled: the one place that knows all of them."""

from common.contribution import CONTRIBUTION as COMMON
from defects.contribution import CONTRIBUTION as DEFECTS
from fleet.contribution import CONTRIBUTION as FLEET
from workorders.contribution import CONTRIBUTION as WORKORDERS

CONTRIBUTIONS = (COMMON, FLEET, DEFECTS, WORKORDERS)
