"""The dimension of a term in a condition, so that `depth > 20 bar` is refused when a rule is read.

A dimension is the exponents of metre, kilogram, second and kelvin; angles, counts and fractions have none. Quantities and
their units belong to `records.quantity`; here only products and ratios of them are followed.
"""

from collections.abc import Mapping

Dimension = tuple[int, int, int, int]

PLAIN: Dimension = (0, 0, 0, 0)

# SI exponents (m, kg, s, K), by the names that record fields use.
DIMENSIONS: Mapping[str, Dimension] = {
    "number": PLAIN,
    "count": PLAIN,
    "fraction": PLAIN,
    "angle": PLAIN,
    "length": (1, 0, 0, 0),
    "area": (2, 0, 0, 0),
    "volume": (3, 0, 0, 0),
    "time": (0, 0, 1, 0),
    "speed": (1, 0, -1, 0),
    "acceleration": (1, 0, -2, 0),
    "rotation": (0, 0, -1, 0),
    "mass": (0, 1, 0, 0),
    "density": (-3, 1, 0, 0),
    "force": (1, 1, -2, 0),
    "torque": (2, 1, -2, 0),
    "pressure": (-1, 1, -2, 0),
    "power": (2, 1, -3, 0),
    "flow": (3, 0, -1, 0),
    "temperature": (0, 0, 0, 1),
    "temperature_rise": (0, 0, 0, 1),
    "conductivity": (1, 1, -3, -1),
    "specific_heat": (2, 0, -2, -1),
    "kinematic_viscosity": (2, 0, -1, 0),
}


def product(one: Dimension, other: Dimension) -> Dimension:
    """The dimension of a product."""
    return tuple(a + b for a, b in zip(one, other, strict=True))  # type: ignore[return-value]


def ratio(one: Dimension, other: Dimension) -> Dimension:
    """The dimension of a ratio."""
    return tuple(a - b for a, b in zip(one, other, strict=True))  # type: ignore[return-value]


def shown(dimension: Dimension) -> str:
    """What people call that dimension: "a length", "a plain number"."""
    if dimension == PLAIN:
        return "a plain number"
    name = next((name for name, known in DIMENSIONS.items() if known == dimension), "")
    if name:
        return f"{'an' if name[0] in 'aeiou' else 'a'} {name.replace('_', ' ')}"
    units = zip(("m", "kg", "s", "K"), dimension, strict=True)
    return "a quantity in " + "·".join(f"{unit}^{power}" if power != 1 else unit for unit, power in units if power)
