"""The addresses of the shop, below the version's prefix."""

from django.urls import path
from django.urls.resolvers import URLPattern

from workorders.api.labor import LaborViewSet
from workorders.api.orders import views as orders
from workorders.api.orders.views import OrderViewSet
from workorders.api.outside_work import OutsideRepairViewSet
from workorders.api.tasks import views as tasks
from workorders.api.tasks.views import TaskViewSet


def _moves(prefix: str, view: type[OrderViewSet] | type[TaskViewSet], moves: tuple[str, ...]) -> list[URLPattern]:
    """One address for each move, the move's name with hyphens."""
    return [
        path(f"{prefix}/{move.replace('_', '-')}", view.as_view({"post": move}), name=f"{view.tag}-{move}")
        for move in moves
    ]


urlpatterns: list[URLPattern] = [
    path("repair-orders", OrderViewSet.as_view({"get": "list", "post": "create"}), name="repair-orders"),
    path("repair-orders/<str:ref>", OrderViewSet.as_view({"get": "retrieve"}), name="repair-orders-one"),
    *_moves("repair-orders/<str:ref>", OrderViewSet, orders.MOVES),
    path("repair-tasks", TaskViewSet.as_view({"get": "list"}), name="repair-tasks"),
    path("repair-tasks/<key:key>", TaskViewSet.as_view({"get": "retrieve"}), name="repair-tasks-one"),
    *_moves("repair-tasks/<key:key>", TaskViewSet, tasks.MOVES),
    path("labor-entries", LaborViewSet.as_view({"get": "list", "post": "create"}), name="labor-entries"),
    path("labor-entries/<key:key>", LaborViewSet.as_view({"get": "retrieve"}), name="labor-entries-one"),
    path("labor-entries/<key:key>/stop", LaborViewSet.as_view({"post": "stop"}), name="labor-entries-stop"),
    path("labor-entries/<key:key>/pause", LaborViewSet.as_view({"post": "pause"}), name="labor-entries-pause"),
    path("outside-repairs", OutsideRepairViewSet.as_view({"get": "list", "post": "create"}), name="outside-repairs"),
    path("outside-repairs/<key:key>", OutsideRepairViewSet.as_view({"get": "retrieve"}), name="outside-repairs-one"),
]
