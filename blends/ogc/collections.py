"""The collections: for each property of the person one of each kind."""

from dataclasses import dataclass
from datetime import date

from django.core.exceptions import ValidationError
from django.db.models import F, Max, Min, Q
from django.db.models.functions import Coalesce
from django.http import Http404
from django.shortcuts import get_object_or_404

from blends.ogc.kinds import KINDS
from plots.access import LARGEST_ID, properties_for, property_for
from plots.models import Property


@dataclass(frozen=True)
class Extent:
    """What a collection covers; None where it has nothing. [degrees; days, or moments where the kind has hours]"""

    west: float | None = None
    south: float | None = None
    east: float | None = None
    north: float | None = None
    first: date | None = None
    last: date | None = None

    @property
    def bbox(self):
        return None if self.west is None else [self.west, self.south, self.east, self.north]


@dataclass(frozen=True)
class Collection:
    property: Property
    kind: type
    extent: Extent | None = None

    @property
    def id(self):
        return f"{self.property.slug}-{self.kind.name}"

    @property
    def title(self):
        return self.kind.title.format(self.property.name)

    def matching(self, wanted):
        """How many features are wanted in all, and those of this page, in the order in which they were made."""
        rows = self._rows()
        if wanted.places:
            on_it = Q()
            for place in wanted.places:
                on_it |= _touches(place, self.kind.geometries)
            rows = rows.filter(on_it)
        if self.kind.when:
            rows = rows.filter(_within(self.kind, wanted.period))
        page = rows.order_by(*self.kind.order)[wanted.offset : wanted.offset + wanted.limit]
        return rows.count(), [self.kind.feature(*row) for row in page.values_list("pk", *self.kind.columns)]

    def feature(self, feature_id):
        """One feature, or Http404."""
        found = self._rows()
        try:
            pk = found.model._meta.pk.to_python(feature_id)
        except ValidationError as error:
            raise Http404 from error
        if isinstance(pk, int) and pk > LARGEST_ID:
            raise Http404
        return self.kind.feature(*get_object_or_404(found.values_list("pk", *self.kind.columns), pk=pk))

    def _rows(self):
        return self.kind.rows().filter(**{self.kind.property_path: self.property})


def collections_for(user):
    """Every collection that the person may see, with its extent; one query a kind."""
    properties = list(properties_for(user))
    extents = {kind: _extents(kind, properties) for kind in KINDS.values()}
    return [
        Collection(property, kind, extents[kind].get(property.pk, Extent()))
        for property in properties
        for kind in KINDS.values()
    ]


def collection_for(user, collection_id, with_extent=False):
    """One collection through the property's door; Http404 where the person does not belong to it."""
    slug, _, name = collection_id.rpartition("-")
    if name not in KINDS:
        raise Http404
    property, kind = property_for(user, slug), KINDS[name]
    extent = _extents(kind, [property]).get(property.pk, Extent()) if with_extent else None
    return Collection(property, kind, extent)


def _extents(kind, properties):
    """{id of the property: Extent}."""

    def end(column):
        places = [F(f"{prefix}{column}") for prefix in kind.extents]
        return places[0] if len(places) == 1 else Coalesce(*places)

    ends = {"w": Min(end("west")), "s": Min(end("south")), "e": Max(end("east")), "n": Max(end("north"))}
    if kind.when:
        ends |= {"first": Min(kind.when), "last": Max(kind.when)}
    rows = kind.rows().filter(**{f"{kind.property_path}__in": properties})
    found = rows.order_by().values(kind.property_path).annotate(**ends)
    return {key: Extent(*values) for key, *values in found.values_list(kind.property_path, *ends)}


def _touches(place, geometries):
    """Whether the geometry touches the place. What has none matches every place, as the standard wants it."""
    found, none_before = Q(), {}
    for geometry in geometries:
        found |= Q(**none_before, **{f"{geometry}__intersects": place})
        none_before[f"{geometry}__isnull"] = True
    return found | Q(**none_before)


def _within(kind, period):
    """Whether it was in the period. What has no day matches, as the standard wants it."""
    first, last = (period.first, period.last) if kind.has_hour else (period.first_day, period.last_day)
    between = Q()
    if first:
        between &= Q(**{f"{kind.when}__gte": first})
    if last:
        between &= Q(**{f"{kind.when}__lte": last})
    return between and between | Q(**{kind.when: None})
