"""Heat in a solid: a small body that is warm all through, and a body so deep that the heat does not reach its back."""

from math import erf, erfc, exp, log, pi, sqrt

from coolcheck.physics.valid import OutOfRange, not_negative, positive, within

LUMPED_BELOW = 0.1  # Biot number up to which a body counts as equally warm all through


def biot(h: float, L: float, k: float) -> float:
    """Biot number: resistance inside a body against that at its surface.

    Bi = h · L / k

    h : heat transfer coefficient [W/(m²·K)]
    L : volume over surface, or half the thickness of a plate [m]
    k : thermal conductivity of the body [W/(m·K)]
    returns : Biot number [-]

    Valid: always; a definition.
    Source: definition, as in F. Incropera, D. DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5.

    >>> round(biot(h=5000.0, L=1.905e-3, k=80.0), 3)
    0.119
    """
    return h * L / k


def diffusivity(k: float, rho: float, c: float) -> float:
    """Thermal diffusivity.

    alpha = k / (rho · c)

    k : thermal conductivity [W/(m·K)]
    rho : density [kg/m³]
    c : heat capacity [J/(kg·K)]
    returns : thermal diffusivity [m²/s]

    Valid: always; a definition.
    Source: definition.

    >>> round(diffusivity(k=80.0, rho=14900.0, c=210.0) * 1e6, 2)
    25.57
    """
    return k / (rho * c)


def diffusion_time(L: float, alpha: float) -> float:
    """Time in which heat spreads over a length.

    t = L² / alpha

    L : length [m]
    alpha : thermal diffusivity [m²/s]
    returns : time [s]

    Valid: an order of magnitude.
    Source: dimensionless time of the heat equation.

    >>> round(diffusion_time(L=0.001, alpha=25.57e-6) * 1e3)            # ms
    39
    """
    return L * L / positive("thermal diffusivity [m²/s]", alpha)


def penetration_depth(alpha: float, t: float) -> float:
    """Depth within which 84 % of a heat pulse still lies.

    sqrt(4 · alpha · t)

    alpha : thermal diffusivity [m²/s]
    t : time since the pulse [s]
    returns : depth [m]

    Valid: semi-infinite solid.
    Source: T. Childs and others, Metal Machining, 2000, App. 2 (84.3 %).

    >>> round(penetration_depth(alpha=10e-6, t=0.1) * 1e3, 1)           # mm
    2.0
    """
    return sqrt(4 * alpha * not_negative("time [s]", t))


def periodic_depth(alpha: float, omega: float) -> float:
    """Depth that a periodic heating of the surface reaches.

    sqrt(alpha / omega)

    alpha : thermal diffusivity [m²/s]
    omega : angular frequency of the heating [rad/s]
    returns : depth [m]

    Valid: semi-infinite solid; an order of magnitude (the amplitude falls to 1/e within sqrt(2) times it).
    Source: Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, Ex. 5.8.

    >>> round(periodic_depth(alpha=4.366e-7, omega=6.2832) * 1e3, 3)    # mm
    0.264
    """
    return sqrt(alpha / positive("angular frequency [rad/s]", omega))


def semi_infinite_until(L: float, alpha: float) -> float:
    """How long a body of this depth behaves as if it had no back.

    t = L² / (3.64² · alpha)

    L : depth to the back, or to the middle of a body heated from both sides [m]
    alpha : thermal diffusivity [m²/s]
    returns : time [s]

    Valid: to 1 % of the temperature at the back.
    Source: J. H. Lienhard, A Heat Transfer Textbook, Ex. 5.4.

    >>> round(semi_infinite_until(L=0.003, alpha=1.5e-5), 3)
    0.045
    """
    return (L / 3.64) ** 2 / positive("thermal diffusivity [m²/s]", alpha)


def lumped_time_constant(rho: float, c: float, V: float, A: float, h: float, k: float) -> float:
    """Time constant of a body that is equally warm all through.

    tau = rho · c · V / (h · A)

    rho : density [kg/m³]
    c : heat capacity [J/(kg·K)]
    V : volume [m³]
    A : surface that gives off heat [m²]
    h : heat transfer coefficient [W/(m²·K)]
    k : thermal conductivity, to judge the Biot number with L = V/A [W/(m·K)]
    returns : time constant [s]

    Valid: Bi < 0.1; an insert under a strong flood is beyond it.
    Source: Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5.

    >>> round(lumped_time_constant(rho=14900.0, c=210.0, V=767.7e-9, A=403.1e-6, h=200.0, k=80.0), 1)
    29.8
    """
    within("Biot number", biot(h, V / A, k), 0.0, LUMPED_BELOW, "lumped body")
    return rho * c * V / (positive("heat transfer coefficient [W/(m²·K)]", h) * A)


def lumped_temperature(t: float, Ti: float, Tinf: float, tau: float) -> float:
    """Temperature of a lumped body after a time.

    T = Tinf + (Ti - Tinf) · exp(-t / tau)

    t : time [s]
    Ti : temperature at its start [K]
    Tinf : temperature of what surrounds it [K]
    tau : time constant [s]
    returns : temperature [K]

    Valid: as `lumped_time_constant`.
    Source: Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5.

    >>> lumped_temperature(t=0.0, Ti=800.0, Tinf=300.0, tau=1.0)
    800.0
    """
    return Tinf + (Ti - Tinf) * exp(-not_negative("time [s]", t) / tau)


def lumped_time(T: float, Ti: float, Tinf: float, tau: float) -> float:
    """Time in which a lumped body comes to a temperature; the reverse of `lumped_temperature`.

    T : temperature to reach, between Ti and Tinf [K]
    Ti : temperature at the start [K]
    Tinf : temperature of what surrounds it [K]
    tau : time constant [s]
    returns : time [s]

    Valid: T between Ti and Tinf.
    Source: as `lumped_temperature`.

    >>> round(lumped_time(T=199.0, Ti=25.0, Tinf=200.0, tau=1.0), 3)
    5.165
    """
    left = (T - Tinf) / (Ti - Tinf) if Ti != Tinf else 0.0
    if left <= 0 or left > 1:
        raise OutOfRange("temperature to reach [K]", T, f"between {Ti:g} and {Tinf:g}", "exponential cooling")
    return -tau * log(left)


def erfcx(x: float) -> float:
    """Scaled complementary error function, exp(x²) · erfc(x), which does not overflow.

    x : argument, zero or more [-]
    returns : exp(x²) · erfc(x) [-]

    Valid: x >= 0.
    Source: definition; asymptotic series for x >= 25 (Abramowitz and Stegun 7.1.23, from memory). Compared with scipy.

    >>> round(erfcx(1.0), 6), round(erfcx(100.0), 8)
    (0.427584, 0.00564161)
    """
    not_negative("argument of erfcx", x)
    if x < 25:
        return exp(x * x) * erfc(x)
    y = 1 / (2 * x * x)
    return (1 - y * (1 - 3 * y * (1 - 5 * y * (1 - 7 * y)))) / (x * sqrt(pi))


def surface_excess(h: float, k: float, alpha: float, t: float) -> float:
    """What remains of the surface's excess temperature a time after a fluid came onto a hot deep body.

    (Ts - Tinf) / (Ti - Tinf) = exp(s²) · erfc(s), s = h · sqrt(alpha t) / k

    h : heat transfer coefficient [W/(m²·K)]
    k : thermal conductivity of the body [W/(m·K)]
    alpha : thermal diffusivity of the body [m²/s]
    t : time since the fluid came [s]
    returns : remaining share of the excess [-]

    Valid: until `semi_infinite_until`.
    Source: Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, semi-infinite solid with surface convection.

    >>> round(surface_excess(h=5000.0, k=80.0, alpha=25.57e-6, t=0.1), 4)
    0.8965
    """
    return erfcx(h * sqrt(alpha * not_negative("time [s]", t)) / k)


def convective_temperature(x: float, t: float, h: float, k: float, alpha: float, Ti: float, Tinf: float) -> float:
    """Temperature inside a deep body whose surface meets a fluid of another temperature.

    (T - Ti)/(Tinf - Ti) = erfc(X) - exp(h x/k + s²) · erfc(X + s), X = x / sqrt(4 alpha t), s = h sqrt(alpha t) / k

    x : depth below the surface [m]
    t : time, above zero [s]
    h : heat transfer coefficient [W/(m²·K)]
    k : thermal conductivity [W/(m·K)]
    alpha : thermal diffusivity [m²/s]
    Ti : temperature at the start [K]
    Tinf : temperature of the fluid [K]
    returns : temperature [K]

    Valid: until `semi_infinite_until`.
    Source: Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, semi-infinite solid with surface convection.

    >>> round(convective_temperature(x=0.0, t=0.3298, h=100.0, k=0.63, alpha=0.135e-6, Ti=37.0, Tinf=800.0), 1)
    65.0
    """
    spread = sqrt(alpha * positive("time [s]", t))
    X, s = not_negative("depth [m]", x) / (2 * spread), h * spread / k
    # exp(hx/k + s²) erfc(X + s) = exp(-X²) erfcx(X + s), because hx/k = 2Xs; so written it cannot overflow
    return Ti + (Tinf - Ti) * (erfc(X) - exp(-X * X) * erfcx(X + s))


def held_surface_temperature(x: float, t: float, alpha: float, Ti: float, Ts: float) -> float:
    """Temperature inside a deep body whose surface is brought to a temperature at once and held there.

    (T - Ts)/(Ti - Ts) = erf(x / sqrt(4 alpha t))

    x : depth below the surface [m]
    t : time, above zero [s]
    alpha : thermal diffusivity [m²/s]
    Ti : temperature at the start [K]
    Ts : temperature of the surface [K]
    returns : temperature [K]

    Valid: until `semi_infinite_until`.
    Source: J. P. Holman, Heat Transfer, ch. 4.

    >>> round(held_surface_temperature(x=0.025, t=30.0, alpha=1.4e-5, Ti=35.0, Ts=250.0), 1)
    118.5
    """
    return Ts + (Ti - Ts) * erf(x / sqrt(4 * alpha * positive("time [s]", t)))


def flux_rise(x: float, t: float, q: float, k: float, alpha: float) -> float:
    """Rise of temperature inside a deep body under a steady heat flux through its surface.

    (2q/k) · sqrt(alpha t/pi) · exp(-x²/(4 alpha t)) - (q x/k) · erfc(x / sqrt(4 alpha t))

    x : depth below the surface [m]
    t : time [s]
    q : heat flux [W/m²]
    k : thermal conductivity [W/(m·K)]
    alpha : thermal diffusivity [m²/s]
    returns : rise of temperature [K]

    Valid: until `semi_infinite_until`.
    Source: J. P. Holman, Heat Transfer, ch. 4.

    >>> round(35 + flux_rise(x=0.025, t=30.0, q=3.2e5, k=45.0, alpha=1.4e-5), 1)
    79.3
    """
    if not_negative("time [s]", t) == 0:
        return 0.0
    spread = alpha * t
    return 2 * q / k * sqrt(spread / pi) * exp(-x * x / (4 * spread)) - q * x / k * erfc(x / (2 * sqrt(spread)))


def pulse_rise(x: float, t: float, E: float, rho: float, c: float, alpha: float) -> float:
    """Rise of temperature inside a deep body after heat was put on its surface at once.

    E / (rho c sqrt(pi alpha t)) · exp(-x² / (4 alpha t))

    x : depth below the surface [m]
    t : time since then, above zero [s]
    E : heat put on [J/m²]
    rho : density [kg/m³]
    c : heat capacity [J/(kg·K)]
    alpha : thermal diffusivity [m²/s]
    returns : rise of temperature [K]

    Valid: until `semi_infinite_until`.
    Source: J. P. Holman, Heat Transfer, Ex. 4.3.

    >>> round(40 + pulse_rise(x=0.0, t=2.0, E=10e6, rho=7800.0, c=460.0, alpha=0.44e-5))
    570
    """
    spread = alpha * positive("time [s]", t)
    return E / (rho * c * sqrt(pi * spread)) * exp(-x * x / (4 * spread))
