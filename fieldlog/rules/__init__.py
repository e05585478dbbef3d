"""Every rule that the tool comes with, in the order in which the page lists them."""

from fieldlog.rules.cover import THIN_COVER
from fieldlog.rules.stand import THIN_STAND
from fieldlog.rules.use import HEAVY_USE
from fieldlog.rules.weeds import PULL_WEEDS

RULES = {each.key: each for each in (PULL_WEEDS, THIN_STAND, HEAVY_USE, THIN_COVER)}
