"""What lists of signing links and of confirmed firms may be asked for."""

from django_filters import rest_framework as filters

from common.api.filter_kinds import REFERENCE, ReadFilter, within
from common.api.filters import StrictFilterSet
from defects.selectors.defects.defects import defect_key


class LinkFilters(StrictFilterSet):
    """By a defect, and when they were made."""

    defect = ReadFilter("defects", read=defect_key, described=REFERENCE)
    since, until = within("made_at")


class FirmFilters(StrictFilterSet):
    """By the firm's name, and when it was confirmed."""

    firm = filters.CharFilter(field_name="firm", lookup_expr="iexact")
    since, until = within("confirmed_at")
