"""A small property to plan on: species of the reference table and blends made through the services."""

from decimal import Decimal

import pytest

from blends.models import Species
from blends.services.blends import save_blend
from blends.services.offers import add_supplier, save_offer
from blends.services.seasons import open_season


@pytest.fixture
def species(db):
    """A reference species by its key."""

    def find(key):
        return Species.objects.get(key=key, property=None)

    return find


@pytest.fixture
def season(farm):
    return open_season(property=farm, year=2027, kind="cool")


@pytest.fixture
def order(season):
    return season.order


@pytest.fixture
def make_mixed(farm, owner, species):
    """A blend mixed here: {species key: (drilled, broadcast)} in PLS lb/ac."""

    def make(name, rates, property=None, blend=None, user=None):
        components = [
            {
                "species_id": species(key).pk,
                "drilled_pls_lb_per_acre": drilled and Decimal(drilled),
                "broadcast_pls_lb_per_acre": broadcast and Decimal(broadcast),
            }
            for key, (drilled, broadcast) in rates.items()
        ]
        return save_blend(
            property=property or farm,
            user=user or owner,
            name=name,
            kind="mixed",
            components=components,
            blend=blend,
        )

    return make


@pytest.fixture
def make_bought(farm, owner, species):
    """A bought mix: bulk lb/ac and {species key: (% by weight, germination %)}."""

    def make(name, drilled, tag, property=None, blend=None, broadcast=None):
        components = [
            {
                "species_id": species(key).pk,
                "tag_pct_by_weight": Decimal(share),
                "tag_germination_pct": Decimal(germination),
            }
            for key, (share, germination) in tag.items()
        ]
        return save_blend(
            property=property or farm,
            user=owner,
            name=name,
            kind="bought",
            components=components,
            blend=blend,
            drilled_bulk_lb_per_acre=drilled and Decimal(drilled),
            broadcast_bulk_lb_per_acre=broadcast and Decimal(broadcast),
        )

    return make


@pytest.fixture
def make_offer(farm):
    """An offer of a species or a bought mix, with the tag where it is given."""

    def make(thing, pack_lb, price_usd, tag=None, property=None, **values):
        property = property or farm
        supplier = property.suppliers.first() or add_supplier(property=property, name="Co-op")
        if tag:
            values |= dict(
                zip(("purity_pct", "germination_pct", "hard_pct"), map(Decimal, tag), strict=False)
            )
        what = "species" if isinstance(thing, Species) else "blend"
        return save_offer(
            property=property,
            supplier=supplier,
            pack_lb=Decimal(pack_lb),
            price_usd=Decimal(price_usd),
            **{what: thing},
            **values,
        )

    return make
