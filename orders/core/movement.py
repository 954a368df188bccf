"""How timber moves: equilibrium moisture content, shrinkage and swelling, room for a panel."""

import math

from orders.core.errors import RuleBroken

FIBRE_SATURATION = 30.0
REFERENCE_MOISTURE = 10.0


def equilibrium_moisture(temperature_c: float, relative_humidity: float) -> float:
    """Moisture content in per cent that timber settles at; humidity as a share from 0 to 1.

    Source: Wood Handbook (USDA Forest Products Laboratory, FPL-GTR-190, 2010), equation 4-5, with
    the Celsius constants of Simpson, FPL-RN-0268 (1998).
    """
    if not 0 <= relative_humidity <= 1:
        raise RuleBroken(
            "relative_humidity", "Relative humidity is a share from 0 to 1: 0.5 for 50 %."
        )
    if not -30 <= temperature_c <= 130:
        raise RuleBroken("temperature_c", "The equation holds from -30 to 130 °C.")
    t, h = temperature_c, relative_humidity
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    first = kh / (1 - kh)
    second = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (first + second)


def coefficient(shrinkage_percent: float) -> float:
    """Change of size per 1 % of moisture, from shrinkage green to oven-dry in per cent.

    Source: derived from Wood Handbook (FPL-GTR-190), equation 13-2 with 10 % as the moisture at
    measuring; it reproduces Table 13-5 from Table 4-3.
    """
    if not 0 < shrinkage_percent < 100:
        raise RuleBroken("shrinkage_percent", "Shrinkage lies between 0 and 100 per cent.")
    return 1 / (FIBRE_SATURATION * 100 / shrinkage_percent - FIBRE_SATURATION + REFERENCE_MOISTURE)


def movement_mm(
    size_mm: float, change_coefficient: float, from_moisture: float, to_moisture: float
) -> float:
    """Swelling (positive) or shrinkage of a size across the grain, moisture in per cent.

    Holds from 6 to 14 %; show it to a tenth of a millimetre at most, with "about".
    Source: Wood Handbook (FPL-GTR-190), equation 13-1 and Table 13-5.
    """
    _check_moistures(from_moisture, to_moisture)
    return size_mm * change_coefficient * (to_moisture - from_moisture)


def movement_by_shrinkage_mm(
    size_mm: float, shrinkage_percent: float, from_moisture: float, to_moisture: float
) -> float:
    """Swelling (positive) or shrinkage over a wider range, up to fibre saturation.

    Source: Wood Handbook (FPL-GTR-190), equation 13-2; the form is from memory, unverified, and
    agrees with Table 13-5 by the identity of `coefficient`.
    """
    _check_moistures(from_moisture, to_moisture)
    if not 0 < shrinkage_percent < 100:
        raise RuleBroken("shrinkage_percent", "Shrinkage lies between 0 and 100 per cent.")
    return (
        size_mm
        * (to_moisture - from_moisture)
        / (FIBRE_SATURATION * 100 / shrinkage_percent - FIBRE_SATURATION + from_moisture)
    )


def panel_clearance_mm(
    panel_width_mm: float,
    change_coefficient: float,
    made_at_moisture: float,
    wettest_moisture: float,
    grooves: int = 2,
) -> float:
    """Room to leave in each groove so that a panel can swell without pushing the frame apart.

    Nothing is needed for a panel that is made at its wettest.
    """
    if grooves < 1:
        raise RuleBroken("grooves", "A panel stands in at least one groove.")
    swelling = movement_mm(panel_width_mm, change_coefficient, made_at_moisture, wettest_moisture)
    return max(0.0, swelling) / grooves


def _check_moistures(from_moisture: float, to_moisture: float) -> None:
    for field, moisture in (("from_moisture", from_moisture), ("to_moisture", to_moisture)):
        if not (math.isfinite(moisture) and 0 <= moisture <= FIBRE_SATURATION):
            raise RuleBroken(
                field, "Timber moves between 0 and 30 per cent of moisture; give a value there."
            )
