"""Species, blends, seasons; suppliers and offers, the seed order and its documents; lots, machines, field work."""

from blends.models.blends import Blend, Clipping, Component
from blends.models.fieldwork import (
    COUNTS,
    PlantingLot,
    PlantingRecord,
    RecordSeed,
    SprayedProduct,
    Termination,
)
from blends.models.lots import InoculantLot, Lot, LotTest, StockEntry
from blends.models.machines import Box, Calibration, Machine, SeedBox
from blends.models.orders import BuyingPlan, OrderChoice, OrderLine, SeedOrder, Substitution
from blends.models.purchases import PurchaseChange, PurchaseLine, PurchaseOrder, Receipt
from blends.models.seasons import Planting, Season
from blends.models.species import Basis, Hazard, Source, Species, SpeciesOverride, hazard_keys
from blends.models.suppliers import Offer, PriceBreak, PriceList, SeedName, Supplier

__all__ = [
    "COUNTS",
    "Basis",
    "Blend",
    "Box",
    "BuyingPlan",
    "Calibration",
    "Clipping",
    "Component",
    "Hazard",
    "InoculantLot",
    "Lot",
    "LotTest",
    "Machine",
    "Offer",
    "OrderChoice",
    "OrderLine",
    "Planting",
    "PlantingLot",
    "PlantingRecord",
    "PriceBreak",
    "PriceList",
    "PurchaseChange",
    "PurchaseLine",
    "PurchaseOrder",
    "Receipt",
    "RecordSeed",
    "Season",
    "SeedBox",
    "SeedName",
    "SeedOrder",
    "Source",
    "Species",
    "SpeciesOverride",
    "SprayedProduct",
    "StockEntry",
    "Substitution",
    "Supplier",
    "Termination",
    "hazard_keys",
]
