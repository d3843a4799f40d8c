"""What lists of signing links and of confirmed firms may be asked for."""

from django_filters import rest_framework as filters

from common.api.filters import NumberedFilter, StrictFilterSet
from defects.models import FirmConfirmation, SigningLink


class LinkFilters(StrictFilterSet):
    """By the number of a defect."""

    defect = NumberedFilter(field_name="defects__number")

    class Meta:
        model = SigningLink
        fields: tuple[str, ...] = ()


class FirmFilters(StrictFilterSet):
    """By the firm's name."""

    firm = filters.CharFilter(field_name="firm", lookup_expr="iexact")

    class Meta:
        model = FirmConfirmation
        fields: tuple[str, ...] = ()
