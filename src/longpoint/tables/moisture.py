"""How moist wood becomes in air, and what that does to its size, weight and stiffness.

Moisture content is mass of water over oven-dry mass. In air of steady temperature and humidity wood settles at its
equilibrium moisture; it then swells or shrinks across the grain and hardly at all along it.
"""

from __future__ import annotations

from longpoint.errors import OutOfRangeError
from longpoint.tables.wood import moisture_effect


def equilibrium_moisture(*, temperature: float, humidity: float) -> float:
    """Moisture at which wood of any species settles in steady air.

    A fit to a table: worst near saturation; wood drying ends 1-2 % moister than wood wetting.

    Args:
        temperature: Of the air, −30 to 130. [°C]
        humidity: Relative humidity, 0 to 1. [1]

    Returns:
        Moisture content. [%]

    Raises:
        OutOfRangeError: If temperature or humidity lies outside its range.

    References:
        Wood Handbook, FPL-GTR-190 (2010), eq. 4-5, metric; coefficients as in Simpson 1998, FPL-RN-0268.
    """
    if not 0.0 <= humidity <= 1.0:
        msg = f"Relative humidity must lie between 0 and 1, not {humidity:g}; 50 % is 0.5."
        raise OutOfRangeError(msg)
    if not -30.0 <= temperature <= 130.0:
        msg = f"Temperature must lie between -30 and 130 °C, not {temperature:g}."
        raise OutOfRangeError(msg)
    T, h = temperature, humidity
    W = 349.0 + 1.29 * T + 0.0135 * T**2
    K = 0.805 + 0.000736 * T - 0.00000273 * T**2
    K1 = 6.27 - 0.00938 * T - 0.000303 * T**2
    K2 = 1.91 + 0.0407 * T - 0.000293 * T**2
    Kh = K * h
    bound = (K1 * Kh + 2.0 * K1 * K2 * Kh**2) / (1.0 + K1 * Kh + K1 * K2 * Kh**2)
    return 1800.0 / W * (Kh / (1.0 - Kh) + bound)


def size_change(*, size: float, coefficient: float, moisture_from: float, moisture_to: float) -> float:
    """How much wider a piece of wood becomes.

    Args:
        size: Width or thickness across the grain at ``moisture_from``. [mm]
        coefficient: Change of size per 1 % moisture, see ``movement_across``. [1]
        moisture_from: Moisture before; the formula holds from 6 to 14. [%]
        moisture_to: Moisture after. [%]

    Returns:
        Change of size, growing positive. [mm]

    References:
        Wood Handbook eq. 13-1.
    """
    return size * coefficient * (moisture_to - moisture_from)


def density_at(*, specific_gravity: float, moisture: float) -> float:
    """Density of moist wood.

    Args:
        specific_gravity: Oven-dry mass over volume at ``moisture``. [1]
        moisture: Moisture content. [%]

    Returns:
        Density. [kg/m³]

    References:
        Wood Handbook, FPL-GTR-282, eq. 4-14.
    """
    return 1000.0 * specific_gravity * (1.0 + moisture / 100.0)


def modulus_at(*, modulus: float, moisture: float, known_at: float = 12.0) -> float:
    """Young's modulus along the grain at another moisture, below fibre saturation.

    Args:
        modulus: At moisture ``known_at``. [MPa]
        moisture: Moisture wanted, at most 25. [%]
        known_at: Moisture ``modulus`` was measured at. [%]

    Returns:
        Modulus, stiffer when drier. [MPa]

    Raises:
        OutOfRangeError: Above 25 %, near fibre saturation, where wood no longer changes like that.

    References:
        FPL note, Moisture adjustments for wood strength: about 2 % for each 1 %.
    """
    if not 0.0 <= moisture <= 25.0:
        msg = (
            f"Moisture must lie between 0 and 25 %, not {moisture:g} %: above that stiffness stays as it is."
        )
        raise OutOfRangeError(msg)
    return modulus * (1.0 + moisture_effect("modulus") / 100.0 * (known_at - moisture))
