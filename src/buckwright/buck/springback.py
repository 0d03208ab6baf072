"""How far a bent rod or sheet springs back when the bender lets go.

A round bar of steel that yields at one stress in tension and compression, plane sections, no
hardening: what a table knows before the first trial bend. With the outer fibre's elastic share
k = 2 Ri Y / (E d), the radii to the axis under load (Ri) and after release (Rf) obey

    Ri / Rf = 1 - (2 / pi) [asin k + (k / 3) sqrt(1 - k^2) (5 - 2 k^2)]    for k < 1,

and a bar with k >= 1 springs back straight. Derived from M = integral of stress x height over
the circle and 1/Rf = 1/Ri - M / (E I). The same integral over a strip of sheet gives the formula
of Kalpakjian and Schmid, 'Manufacturing Engineering and Technology', section on bending.
"""

from math import asin, inf, pi, sqrt

from scipy.optimize import brentq

from buckwright.tables.steel import YOUNG_MODULUS

__all__ = [
    "elastic_radius",
    "forming_radius",
    "forming_sheet_radius",
    "kept_share",
    "kept_share_of_sheet",
    "released_radius",
    "released_sheet_radius",
]


def elastic_radius(diameter: float, yield_strength: float) -> float:
    """Radius at which the outer fibre just yields; a gentler curve leaves no set in the rod.

    Parameters: mm, MPa. Returns: mm, E d / (2 Y).
    """
    if not (diameter > 0.0 and yield_strength > 0.0):
        message = "a rod has a diameter and a yield strength above 0"
        raise ValueError(message)
    return YOUNG_MODULUS * diameter / (2.0 * yield_strength)


def kept_share(k: float) -> float:
    """Share of its curvature that a bar keeps, Ri / Rf, for k = Ri / elastic radius."""
    if k >= 1.0:
        return 0.0
    return 1.0 - (2.0 / pi) * (asin(k) + (k / 3.0) * sqrt(1.0 - k * k) * (5.0 - 2.0 * k * k))


def released_radius(formed: float, *, diameter: float, yield_strength: float) -> float:
    """Radius that a bar bent to `formed` has when let go; infinite if it springs back straight."""
    kept = kept_share(formed / elastic_radius(diameter, yield_strength))
    return formed / kept if kept > 0.0 else inf


def forming_radius(wanted: float, *, diameter: float, yield_strength: float) -> float:
    """Radius to bend to, so that the bar springs back to `wanted`.

    All radii in mm to the axis. Monotone: a gentler curve needs a gentler bend.
    """
    if not wanted > 0.0:
        message = f"no rod has a radius of {wanted} mm"
        raise ValueError(message)
    limit = elastic_radius(diameter, yield_strength)
    k = brentq(lambda k: wanted * kept_share(k) - limit * k, 0.0, 1.0, xtol=1e-14)
    return float(k * limit)


def kept_share_of_sheet(x: float) -> float:
    """Share of its curvature that bent sheet keeps, Ri / Rf, for x = Ri Y / (E t).

    4 x^3 - 3 x + 1 below x = 1/2, where the sheet stays elastic.
    """
    return 4.0 * x**3 - 3.0 * x + 1.0 if x < 0.5 else 0.0


def released_sheet_radius(
    formed: float, *, thickness: float, yield_strength: float, young: float = YOUNG_MODULUS
) -> float:
    """Radius that sheet bent to `formed` has when let go; infinite if it springs back flat.

    Radii in mm to the middle of the sheet. Narrow sheet (a folded strip): plane stress, no
    hardening. Raises ValueError for a sheet that cannot be.
    """
    if min(formed, thickness, yield_strength, young) <= 0.0:
        message = "radius, thickness and strength of a sheet are above 0"
        raise ValueError(message)
    kept = kept_share_of_sheet(formed * yield_strength / (young * thickness))
    return formed / kept if kept > 0.0 else inf


def forming_sheet_radius(
    wanted: float, *, thickness: float, yield_strength: float, young: float = YOUNG_MODULUS
) -> float:
    """Radius to bend sheet to, so that it springs back to `wanted`; mm to its middle."""
    if min(wanted, thickness, yield_strength, young) <= 0.0:
        message = "radius, thickness and strength of a sheet are above 0"
        raise ValueError(message)
    unit = young * thickness / yield_strength
    x = brentq(lambda x: wanted * kept_share_of_sheet(x) - unit * x, 0.0, 0.5, xtol=1e-15)
    return float(x * unit)
