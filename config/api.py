"""What every part of the REST API shares."""

from rest_framework.pagination import LimitOffsetPagination


class Pages(LimitOffsetPagination):
    """`?limit=` and `?offset=`; no answer grows without bound."""

    max_limit = 1_000
