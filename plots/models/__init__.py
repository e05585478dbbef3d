"""Property and people, plots and the record of their boundaries, what lies on the ground, imports and jobs."""

from plots.models.ground import Landmark, SoilTest
from plots.models.people import (
    ApiToken,
    FirstOwnerLink,
    Membership,
    Property,
    User,
    new_secret,
    secret_digest,
)
from plots.models.pictures import GroundPicture
from plots.models.plots import Boundary, Overlap, Plot, Walk
from plots.models.work import BoundaryImport, ImportedOutline, Job

__all__ = [
    "ApiToken",
    "Boundary",
    "BoundaryImport",
    "FirstOwnerLink",
    "GroundPicture",
    "ImportedOutline",
    "Job",
    "Landmark",
    "Membership",
    "Overlap",
    "Plot",
    "Property",
    "SoilTest",
    "User",
    "Walk",
    "new_secret",
    "secret_digest",
]
