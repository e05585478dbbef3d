"""Versions of a blend."""

from blends.models import Blend


def version_ids(property, blends):
    """{blend id: ids of the blend and of all versions before it, the newest first}; one query."""
    previous = dict(Blend.objects.filter(property=property).values_list("pk", "previous_id"))
    versions = {}
    for blend in blends:
        version = blend.pk
        while version is not None:
            versions.setdefault(blend.pk, []).append(version)
            version = previous[version]
    return versions
