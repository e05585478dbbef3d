"""Conversions between the units of the trade and SI, all exact by definition.

The foot and the pound are those of the international yard and pound agreement (Federal Register,
1 July 1959): 1 yd = 0.9144 m and 1 lb = 0.45359237 kg. Everything else here follows from the two and from
the definitions 1 acre = 43,560 ft² and 1 ha = 10,000 m² (NIST Special Publication 811, 2008, appendix B).

The acre is therefore the *international* acre. The US survey acre, which older deeds use, is 4 parts in a
million larger: 1.7 ft² on a 10-acre plot.

Every function takes a number or an array of any shape and returns the same shape. NaN stays NaN. Nothing is
range-checked: a conversion does not know what the figure means.
"""

IN_PER_FT = 12
M_PER_FT = 0.3048
M_PER_IN = M_PER_FT / IN_PER_FT
FT2_PER_ACRE = 43_560
M2_PER_ACRE = 4046.8564224  # 43,560 × 0.3048²
M2_PER_HA = 10_000
KG_PER_LB = 0.45359237
OZ_PER_LB = 16

_KG_PER_HA_PER_LB_PER_ACRE = KG_PER_LB * M2_PER_HA / M2_PER_ACRE


def m2_to_acres(area_m2):
    """Square metres to international acres."""
    return area_m2 / M2_PER_ACRE


def acres_to_m2(area_acres):
    """International acres to square metres."""
    return area_acres * M2_PER_ACRE


def acres_to_ha(area_acres):
    """International acres to hectares."""
    return area_acres * (M2_PER_ACRE / M2_PER_HA)


def ha_to_acres(area_ha):
    """Hectares to international acres."""
    return area_ha * (M2_PER_HA / M2_PER_ACRE)


def m_to_ft(length_m):
    """Metres to international feet."""
    return length_m / M_PER_FT


def ft_to_m(length_ft):
    """International feet to metres."""
    return length_ft * M_PER_FT


def in_to_cm(length_in):
    """Inches to centimetres."""
    return length_in * (M_PER_IN * 100)


def cm_to_in(length_cm):
    """Centimetres to inches."""
    return length_cm / (M_PER_IN * 100)


def lb_to_kg(mass_lb):
    """Avoirdupois pounds to kilograms."""
    return mass_lb * KG_PER_LB


def kg_to_lb(mass_kg):
    """Kilograms to avoirdupois pounds."""
    return mass_kg / KG_PER_LB


def lb_per_acre_to_kg_per_ha(rate_lb_per_acre):
    """Pounds per acre to kilograms per hectare."""
    return rate_lb_per_acre * _KG_PER_HA_PER_LB_PER_ACRE


def kg_per_ha_to_lb_per_acre(rate_kg_per_ha):
    """Kilograms per hectare to pounds per acre."""
    return rate_kg_per_ha / _KG_PER_HA_PER_LB_PER_ACRE


def g_per_ft2_to_lb_per_acre(mass_g_per_ft2):
    """Grams on a square foot to pounds per acre: × 96.033."""
    return mass_g_per_ft2 * (FT2_PER_ACRE / (1000 * KG_PER_LB))


def f_to_c(temperature_f):
    """Degrees Fahrenheit to degrees Celsius."""
    return (temperature_f - 32) / 1.8


def c_to_f(temperature_c):
    """Degrees Celsius to degrees Fahrenheit."""
    return temperature_c * 1.8 + 32
