"""The sentences of every code that the shop raises, keeps or tells, each in the room of its noun. Holds no logic."""

from common.messages import Sentences
from workorders.messages import labor, orders, outside_work, records, tasks

SENTENCES = Sentences(
    (labor.MESSAGES, orders.MESSAGES, outside_work.MESSAGES, records.MESSAGES, tasks.MESSAGES),
    words={"state": {**orders.ORDER_STATES, **tasks.TASK_STATES}},
    constraints=labor.CONSTRAINTS,
)
