"""How much salt a leafy green takes up with a litre of water.

Told as conductivity: a solution of that strength keeps its strength while plants drink it.
A stronger one grows stronger as it is used, a weaker one weaker.
"""

from __future__ import annotations

from math import isfinite

from controller.core.units import shown
from controller.core.water.bounds import Bounds

# Charges of the nutrient ions in a kilogram of fresh lettuce, meq. Dry matter of 45 g/kg with
# 70 g/kg K, 10 g/kg Ca, 4 g/kg Mg has 118 meq of cations; 45 g/kg N, taken up as nitrate, and
# 6 g/kg P have 153 meq of anions. Contents of dry matter from memory; the likely value is the
# mean of the two, the others allow for a quarter more or less.
IONS_MEQ_PER_KG = Bounds(100.0, 135.0, 170.0)

# Water that leaves for a kilogram of fresh lettuce, L. Sources, all by their abstracts: 75 g/L
# under lamps, Pennisi et al. 2019, Scientific Reports 9:14127; 20 L/kg under glass, Barbosa
# et al. 2015; 28.1 g/L on ebb and flow, Carotti et al. 2023.
WATER_L_PER_KG = Bounds(1000 / 75, 20.0, 1000 / 28.1)

# 1 mS/cm for each 10 meq/L of cations: the usual rule of thumb, from memory.
MEQ_PER_L_PER_MS_PER_CM = 10.0


def uptake_ec_ms_per_cm(
    *, ions_meq_per_kg: Bounds = IONS_MEQ_PER_KG, water_l_per_kg: Bounds = WATER_L_PER_KG
) -> Bounds:
    """The strength of what plants drink, mS/cm at 25 °C; about 0.3 to 1.3 by default.

    Args:
        ions_meq_per_kg: charges of the nutrients in a kilogram of the fresh crop, meq.
        water_l_per_kg: water that goes through plants for that kilogram, L; more than 0.

    Raises:
        ValueError: a value out of its range.
    """
    for name, values in (("meq/kg", ions_meq_per_kg), ("L/kg", water_l_per_kg)):
        if not all(isfinite(value) and value >= 0 for value in values):
            raise ValueError(f"{shown(values)} {name}: numbers that are not negative are needed")
    if water_l_per_kg.low <= 0:
        raise ValueError(f"{shown(water_l_per_kg)} L/kg: a crop needs more water than none")
    return Bounds(
        ions_meq_per_kg.low / water_l_per_kg.high / MEQ_PER_L_PER_MS_PER_CM,
        ions_meq_per_kg.likely / water_l_per_kg.likely / MEQ_PER_L_PER_MS_PER_CM,
        ions_meq_per_kg.high / water_l_per_kg.low / MEQ_PER_L_PER_MS_PER_CM,
    )
