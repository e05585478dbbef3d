"""Every kind of reading that the tool comes with, in the order in which a visit asks for them."""

from fieldlog.kinds.temperature import TEMPERATURE

KINDS = {each.key: each for each in (TEMPERATURE,)}
