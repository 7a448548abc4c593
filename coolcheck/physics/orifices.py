"""Pressure, flow and jet speed at one opening, and what it costs in power and heat. The whole chain is in `hydraulics`."""

from math import pi, sqrt

from coolcheck.physics.band import Band
from coolcheck.physics.tables import table
from coolcheck.physics.valid import OutOfRange, within

BAR = 1e5  # Pa
PSI = 6894.757293  # Pa
LITRE_PER_MINUTE = 1e-3 / 60  # m³/s
US_GALLON_PER_MINUTE = 3.785411784e-3 / 60  # m³/s
HORSEPOWER = 745.69987  # W, 550 ft·lbf/s
STANDARD_GRAVITY = 9.80665  # m/s²


def jet_speed(dp: float, rho: float) -> float:
    """Ideal speed of the jet from an opening.

    v = sqrt(2 dp / rho)

    dp : pressure in front of the opening above that behind it [Pa]
    rho : density of the fluid [kg/m³]
    returns : speed of the jet [m/s]

    Valid: liquids, dp >= 0.
    Source: Bernoulli; Torricelli's theorem.

    >>> round(jet_speed(dp=20e5, rho=998.207), 2)
    63.3
    """
    return sqrt(2 * within("pressure drop [Pa]", dp, 0.0, 1e9, "jets of liquid") / rho)


def jet_pressure(v: float, rho: float) -> float:
    """Pressure that makes a jet of this speed; the reverse of `jet_speed`.

    v : speed of the jet [m/s]
    rho : density of the fluid [kg/m³]
    returns : pressure [Pa]

    Valid: liquids.
    Source: Bernoulli.

    >>> round(jet_pressure(v=63.30, rho=998.207) / 1e5, 2)
    20.0
    """
    return rho * v * v / 2


def hole_area(d: float) -> float:
    """Area of a round hole.

    d : diameter [m]
    returns : area [m²]

    Valid: always; geometry.
    Source: area of a circle.

    >>> round(hole_area(0.001) * 1e6, 4)
    0.7854
    """
    return pi / 4 * d * d


def orifice_flow(dp: float, A: float, Cd: float, rho: float, beta: float = 0.0) -> float:
    """Flow of a liquid through an opening.

    Q = Cd · A · sqrt(2 dp / rho) / sqrt(1 - beta⁴)

    dp : pressure across the opening [Pa]
    A : area of the opening [m²]
    Cd : discharge coefficient; thin plate about 0.61, short drilled hole about 0.80 [-]
    rho : density of the fluid [kg/m³]
    beta : diameter of the opening over that of the pipe before it; 0 for a large room [-]
    returns : flow Q [m³/s]

    Valid: liquids (expansibility 1), beta <= 0.9.
    Source: ISO 5167-2:2003 form, as in `fluids` 1.3.1; Cd from Encyclopaedia Britannica 11th ed., vol. 14, Hydraulics, sec. 17.

    >>> round(orifice_flow(dp=20e5, A=hole_area(0.001), Cd=0.61, rho=998.207) * 60000, 2)      # l/min
    1.82
    """
    within("opening over pipe, beta", beta, 0.0, 0.9, "orifice in a pipe")
    return Cd * A * jet_speed(dp, rho) / sqrt(1 - beta**4)


def orifice_drop(Q: float, A: float, Cd: float, rho: float, beta: float = 0.0) -> float:
    """Pressure that an opening needs for a flow; the reverse of `orifice_flow`.

    Q : flow [m³/s]
    A : area of the opening [m²]
    Cd : discharge coefficient [-]
    rho : density of the fluid [kg/m³]
    beta : diameter of the opening over that of the pipe before it; 0 for a large room [-]
    returns : pressure across the opening [Pa]

    Valid: liquids, beta <= 0.9.
    Source: as `orifice_flow`.

    >>> round(orifice_drop(Q=1.82 / 60000, A=hole_area(0.001), Cd=0.61, rho=998.207) / 1e5, 1)
    20.0
    """
    within("opening over pipe, beta", beta, 0.0, 0.9, "orifice in a pipe")
    return rho / 2 * (Q / (Cd * A)) ** 2 * (1 - beta**4)


def orifice_permanent_loss(dp: float, Cd: float, beta: float) -> float:
    """Part of the drop across an orifice in a pipe that is not won back behind it.

    w = sqrt(1 - beta⁴ (1 - Cd²));  loss = dp · (w - Cd beta²) / (w + Cd beta²)

    dp : pressure across the orifice at its taps [Pa]
    Cd : discharge coefficient [-]
    beta : diameter of the opening over that of the pipe [-]
    returns : permanent loss [Pa]

    Valid: 0 < beta <= 0.9; orifice plates and nozzles with the same pipe before and behind.
    Source: ISO 5167-2:2003, as documented in `fluids` 1.3.1, dP_orifice.

    >>> round(orifice_permanent_loss(dp=0.17e5, Cd=0.61512, beta=0.05 / 0.07366), 1)
    9069.5
    """
    within("opening over pipe, beta", beta, 0.0, 0.9, "orifice in a pipe")
    rest = sqrt(1 - beta**4 * (1 - Cd * Cd))
    return dp * (rest - Cd * beta * beta) / (rest + Cd * beta * beta)


def drilled_hole_coefficient(L: float, d: float) -> float:
    """Discharge coefficient of a short drilled hole with a sharp entry.

    Cd = 0.827 - 0.0085 · L/d

    L : length of the hole [m]
    d : its diameter [m]
    returns : discharge coefficient [-]

    Valid: 2 <= L/d <= 10 and turbulent. A hole that cavitates drops towards 0.61: solve with both and give the interval.
    Source: from memory: A. Lichtarowicz, R. K. Duggins, E. Markland, J. Mech. Eng. Sci. 7 (1965) 210.

    >>> round(drilled_hole_coefficient(L=0.004, d=0.001), 3)
    0.793
    """
    return 0.827 - 0.0085 * within("length over diameter of the hole", L / d, 2.0, 10.0, "Lichtarowicz and others 1965")


def hydraulic_power(p: float, Q: float) -> float:
    """Power in a stream of fluid.

    P = p · Q

    p : pressure [Pa]
    Q : flow [m³/s]
    returns : power [W]

    Valid: always; a definition.
    Source: definition.

    >>> round(hydraulic_power(p=70e5, Q=20 / 60000) / 1000, 2)      # kW
    2.33
    """
    return p * Q


def shaft_power(P: float, efficiency: float) -> float:
    """Power that the pump takes at its shaft for a hydraulic power.

    P : hydraulic power [W]
    efficiency : of the pump [-]
    returns : shaft power [W]

    Valid: 0 < efficiency <= 1.
    Source: definition of efficiency.

    >>> round(shaft_power(P=2333.0, efficiency=0.7))
    3333
    """
    return P / within("efficiency of the pump", efficiency, 1e-6, 1.0, "definition")


def throttle_rise(dp: float, rho: float, c: float) -> float:
    """How much warmer a fluid becomes when its pressure is spent in friction and jets.

    dT = dp / (rho · c)

    dp : pressure lost [Pa]
    rho : density [kg/m³]
    c : heat capacity [J/(kg·K)]
    returns : rise of temperature [K]

    Valid: liquids, no heat lost to the walls.
    Source: first law; compressibility neglected.

    >>> round(throttle_rise(dp=70e5, rho=998.207, c=4184.1), 2)
    1.68
    """
    return dp / (rho * c)


def jet_force(dp: float, A: float, Cd: float) -> float:
    """Reaction of a jet on what it leaves, or its push on what it strikes square.

    F = 2 Cd · A · dp

    dp : pressure in front of the opening [Pa]
    A : area of the opening [m²]
    Cd : discharge coefficient; the speed coefficient is taken as 1 [-]
    returns : force [N]

    Valid: liquids, free jet.
    Source: momentum of the jet, rho Q v.

    >>> round(jet_force(dp=20e5, A=hole_area(0.001), Cd=0.61), 2)
    1.92
    """
    return 2 * Cd * A * dp


def centrifugal_head(rho: float, n: float, r: float) -> float:
    """Pressure that a turning tool adds in a channel that leads outward.

    dp = rho · (2 pi n r)² / 2

    rho : density [kg/m³]
    n : spindle speed, turns a second [1/s]
    r : radius at which the channel ends, when it starts at the axis [m]
    returns : pressure gained [Pa]

    Valid: channel filled with liquid. Small for drills, worth counting in large cutters.
    Source: rigid rotation of a liquid, as in any text on fluid mechanics.

    >>> round(centrifugal_head(rho=998.2, n=10000 / 60, r=0.020) / 1e5, 1)       # bar
    2.2
    """
    return rho * (2 * pi * n * r) ** 2 / 2


def discharge_coefficient(opening: str) -> Band:
    """Discharge coefficient of a kind of opening, as a band.

    opening : thin plate | square hole in a thin plate | short tube | rounded inner end | conical converging | rounded nozzle |
        re-entrant tube [-]
    returns : least, likely and greatest coefficient [-]

    Valid: water-like liquids into air, turbulent. It falls slightly with head and size; a short tube may cavitate.
    Source: Encyclopaedia Britannica, 11th ed., 1911, vol. 14, Hydraulics (tables/britannica_1911_discharge.csv).

    >>> discharge_coefficient("thin plate").likely
    0.61
    """
    rows = {row["opening"]: row for row in table("britannica_1911_discharge")}
    if opening not in rows:
        raise OutOfRange("kind of opening", opening, ", ".join(rows), "Encyclopaedia Britannica 1911")
    row = rows[opening]
    return Band(float(row["least"]), float(row["likely"]), float(row["most"]), "Encyclopaedia Britannica 1911, Hydraulics")
