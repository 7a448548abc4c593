"""What fluid loses in a channel: hose, spindle bore, pull stud, the straight and helical passages of a drill."""

from math import atan, cos, log10, pi, sin, sqrt, tan

from coolcheck.physics.valid import within

LAMINAR_TO = 2000.0  # below this Reynolds number the flow is taken as laminar
TURBULENT_FROM = 4000.0  # above it as turbulent; between the two the factors are blended, so that dp(Q) has no jump


def reynolds(v: float, d: float, nu: float) -> float:
    """Reynolds number of the flow in a round channel.

    Re = v · d / nu

    v : mean speed [m/s]
    d : diameter of the channel [m]
    nu : kinematic viscosity [m²/s]
    returns : Reynolds number [-]

    Valid: always; a definition.
    Source: definition, as in any text on fluid mechanics.

    >>> round(reynolds(v=3.5, d=0.05248, nu=2.7e-6))
    68030
    """
    return v * d / nu


def laminar_friction_factor(Re: float) -> float:
    """Darcy friction factor of laminar flow in a straight round channel.

    f = 64 / Re

    Re : Reynolds number [-]
    returns : Darcy friction factor [-]

    Valid: 0 < Re <= 2040 (documentation of the `fluids` library 1.3.1).
    Source: Hagen-Poiseuille; C. Bell, `fluids` 1.3.1, friction_laminar.

    >>> laminar_friction_factor(128.0)
    0.5
    """
    return 64 / within("Reynolds number of laminar flow", Re, 1e-300, 2040.0, "limit of laminar pipe flow")


def turbulent_friction_factor(Re: float, relative_roughness: float) -> float:
    """Darcy friction factor of turbulent flow in a straight round channel, explicit form.

    A = -2 log10(e/3.7 + 12/Re), B = -2 log10(e/3.7 + 2.51 A/Re), C = -2 log10(e/3.7 + 2.51 B/Re)
    f = (A - (B - A)² / (C - 2B + A))^-2

    Re : Reynolds number [-]
    relative_roughness : wall roughness e over diameter [-]
    returns : Darcy friction factor [-]

    Valid: 4000 <= Re <= 1e8, 0 <= e <= 0.05. Within 1e-4 of the Colebrook equation there.
    Source: T. K. Serghides, Chemical Engineering 91(5), 1984, p. 63; as documented in `fluids` 1.3.1, Serghides_1.

    >>> round(turbulent_friction_factor(1e5, 1e-4), 6)     # Colebrook: 0.018514
    0.018514
    """
    within("Reynolds number of turbulent flow", Re, TURBULENT_FROM, 1e8, "Serghides")
    within("relative roughness", relative_roughness, 0.0, 0.05, "Serghides")
    return _turbulent(Re, relative_roughness)


def friction_factor(Re: float, relative_roughness: float = 0.0, curvature: float = 0.0) -> float:
    """Darcy friction factor of a round channel, laminar or turbulent, straight or curved, without a jump between them.

    Re <= 2000: laminar; Re >= 4000: turbulent; between: linear in Re.
    Curved channels: times `curved_laminar_ratio` or `curved_turbulent_ratio`.

    Re : Reynolds number [-]
    relative_roughness : wall roughness over diameter [-]
    curvature : channel diameter over diameter of curvature of its centre line; 0 is straight [-]
    returns : Darcy friction factor [-]

    Valid: 0 < Re <= 1e8, roughness <= 0.05, curvature <= 0.1. Between Re 2000 and 4000 real flow jumps between the two:
        the blend is ours, so that a pressure has one flow only.
    Source: laminar 64/Re, Serghides 1984, White 1929, Ito 1959 (the last two from memory); the blend is our reading.

    >>> round(friction_factor(128.0), 6), round(friction_factor(1e5, 1e-4), 6)
    (0.5, 0.018514)
    """
    within("Reynolds number", Re, 1e-300, 1e8, "Serghides")
    within("relative roughness", relative_roughness, 0.0, 0.05, "Serghides")
    within("curvature ratio of the channel", curvature, 0.0, 0.1, "White, Ito")
    return unchecked_friction_factor(Re, relative_roughness, curvature)


def unchecked_friction_factor(Re: float, relative_roughness: float, curvature: float) -> float:
    """`friction_factor` without its range check: for a root finder, whose trial flows may be absurd on the way.

    Re : Reynolds number [-]
    relative_roughness : wall roughness over diameter [-]
    curvature : channel diameter over diameter of curvature; 0 is straight [-]
    returns : Darcy friction factor [-]

    Valid: the caller checks its last result by `friction_factor`.
    Source: as `friction_factor`.

    >>> unchecked_friction_factor(1e5, 1e-4, 0.0) == friction_factor(1e5, 1e-4)
    True
    """
    if Re <= LAMINAR_TO:
        return 64 / Re * curved_laminar_ratio(Re, curvature)
    if Re >= TURBULENT_FROM:
        return _turbulent(Re, relative_roughness) * curved_turbulent_ratio(Re, curvature)
    last_laminar = 64 / LAMINAR_TO * curved_laminar_ratio(LAMINAR_TO, curvature)
    first_turbulent = _turbulent(TURBULENT_FROM, relative_roughness) * curved_turbulent_ratio(TURBULENT_FROM, curvature)
    share = (Re - LAMINAR_TO) / (TURBULENT_FROM - LAMINAR_TO)
    return last_laminar + share * (first_turbulent - last_laminar)


def _turbulent(Re: float, e: float) -> float:
    a = -2 * log10(e / 3.7 + 12 / Re)
    b = -2 * log10(e / 3.7 + 2.51 * a / Re)
    c = -2 * log10(e / 3.7 + 2.51 * b / Re)
    bend = c - 2 * b + a
    if bend == 0:  # fully rough: the iteration has converged before the extrapolation
        return 1 / (c * c)
    return float((a - (b - a) ** 2 / bend) ** -2)


def curved_laminar_ratio(Re: float, curvature: float) -> float:
    """How much more a curved channel rubs than a straight one in laminar flow.

    De = Re · sqrt(curvature); De <= 11.6: 1; else 1 / (1 - (1 - (11.6/De)^0.45)^(1/0.45))

    Re : Reynolds number [-]
    curvature : channel diameter over diameter of curvature of its centre line [-]
    returns : ratio of the friction factors, at least 1 [-]

    Valid: De < 2000, curvature 3.9e-4 to 0.066 (documentation of `fluids` 1.3.1); smaller curvature tends to 1.
    Source: C. M. White, Proc. Royal Society A 123 (1929) 645, as documented in `fluids` 1.3.1.

    >>> round(curved_laminar_ratio(Re=250.0, curvature=0.2) * 64 / 250, 6)
    0.406328
    """
    De = Re * sqrt(curvature)
    return 1.0 if De <= 11.6 else 1 / (1 - (1 - (11.6 / De) ** 0.45) ** (1 / 0.45))


def curved_turbulent_ratio(Re: float, curvature: float) -> float:
    """How much more a curved channel rubs than a straight one in turbulent flow.

    (Re · curvature²)^(1/20), not less than 1

    Re : Reynolds number [-]
    curvature : channel diameter over diameter of curvature of its centre line [-]
    returns : ratio of the friction factors, at least 1 [-]

    Valid: Re · curvature² > 6; below it fades to 1 (our reading, so that there is no jump).
    Source: H. Ito, J. Basic Engineering 81 (1959) 123; from memory, compared in the tests with Schmidt 1967 as in `fluids`.

    >>> round(curved_turbulent_ratio(Re=30000.0, curvature=0.0176), 3)
    1.118
    """
    return max(1.0, float((Re * curvature**2) ** 0.05))


def helix_at_pitch_circle(DC: float, FHA: float, pitch_circle: float) -> float:
    """Helix angle at the circle on which the passages of a helical drill lie.

    tan(beta) = tan(FHA) · pitch circle / DC (one lead at every radius)

    DC : cutting diameter, where FHA is measured [m]
    FHA : flute helix angle at DC [rad]
    pitch_circle : diameter of the circle through the passages [m]
    returns : helix angle of the passages [rad]

    Valid: 0 <= FHA < 80 degrees, pitch circle <= DC.
    Source: geometry of a helix of constant lead.

    >>> round(helix_at_pitch_circle(DC=0.0083, FHA=0.5236, pitch_circle=0.0039), 4)
    0.2649
    """
    within("flute helix angle [rad]", FHA, 0.0, 1.3963, "geometry of a helix")
    within("pitch circle over DC", pitch_circle / DC, 0.0, 1.0, "geometry of a helix")
    return atan(tan(FHA) * pitch_circle / DC)


def helical_length(axial: float, helix: float) -> float:
    """Length of a helical passage along its own centre line.

    axial : length along the tool axis [m]
    helix : helix angle at the circle of the passages [rad]
    returns : length of the passage [m]

    Valid: 0 <= helix < 80 degrees.
    Source: geometry of a helix.

    >>> round(helical_length(axial=0.1, helix=0.265), 5)
    0.10362
    """
    return axial / cos(within("helix angle of the passage [rad]", helix, 0.0, 1.3963, "geometry of a helix"))


def helical_curvature(d: float, helix: float, pitch_circle: float) -> float:
    """Curvature ratio of a helical passage: its diameter over the diameter of curvature of its centre line.

    d · sin²(helix) / pitch circle

    d : diameter of the passage [m]
    helix : helix angle at the circle of the passages [rad]
    pitch_circle : diameter of the circle through the passages [m]
    returns : curvature ratio for `friction_factor` [-]

    Valid: 0 <= helix < 80 degrees.
    Source: curvature of a helix, r / (r² + (lead / 2 pi)²).

    >>> round(helical_curvature(d=0.001, helix=0.265, pitch_circle=0.0039), 4)
    0.0176
    """
    within("helix angle of the passage [rad]", helix, 0.0, 1.3963, "geometry of a helix")
    return d * sin(helix) ** 2 / within("pitch circle [m]", pitch_circle, 1e-6, 10.0, "geometry of a helix")


def channel_drop(v: float, d: float, L: float, rho: float, nu: float, eps: float, K: float) -> float:
    """Pressure lost in a straight round channel, with its minor losses.

    dp = (K + f · L/d) · rho · v² / 2

    v : mean speed [m/s]
    d : diameter [m]
    L : length [m]
    rho : density of the fluid [kg/m³]
    nu : kinematic viscosity [m²/s]
    eps : wall roughness [m]
    K : sum of the minor loss coefficients; the jet's own energy counts once, as K = 1 [-]
    returns : pressure loss [Pa]

    Valid: as `friction_factor`.
    Source: Darcy-Weisbach.

    >>> oil = dict(rho=0.815 * 999.1, nu=2.7e-6)            # 30.48 m of 52.48 mm pipe
    >>> round(channel_drop(v=3.5, d=0.05248, L=30.48, eps=4.572e-5, K=0.0, **oil), -2)
    65800.0
    """
    if v == 0:
        return 0.0
    return (K + friction_factor(reynolds(v, d, nu), eps / d) * L / d) * rho * v * v / 2


def channel_discharge_coefficient(f: float, L: float, d: float, K: float = 1.5) -> float:
    """Discharge coefficient that a plain orifice formula would need to describe a channel.

    Cd = 1 / sqrt(K + f · L/d)

    f : Darcy friction factor [-]
    L : length [m]
    d : diameter [m]
    K : minor losses, sharp entry 0.5 and the jet's energy 1.0 [-]
    returns : effective discharge coefficient [-]

    Valid: 0 <= L/d <= 1000. A drill's channel lies near 0.4 to 0.53, not at 0.61 or 0.8.
    Source: Darcy-Weisbach; entrance 0.5 from four handbooks as listed in `fluids` 1.3.1.

    >>> round(channel_discharge_coefficient(f=0.03, L=0.1, d=0.001), 2)
    0.47
    """
    within("length over diameter of the channel", L / d, 0.0, 1000.0, "Darcy-Weisbach")
    return 1 / sqrt(K + f * L / d)


def channel_volume(d: float, L: float, count: int = 1) -> float:
    """Fluid that a channel holds.

    d : diameter [m]
    L : length [m]
    count : how many alike [-]
    returns : volume [m³]

    Valid: always; geometry.
    Source: volume of a cylinder.

    >>> round(channel_volume(d=0.006, L=1.0) * 1e6, 1)          # a 6 mm spindle bore, in ml
    28.3
    """
    return count * pi / 4 * d * d * L
