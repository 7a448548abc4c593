"""Heat of cutting: how hot the edge becomes, where the heat goes, what the fluid must take."""

from math import atan, cos, log, sin, sqrt, tan

from coolcheck.physics.band import Band
from coolcheck.physics.orthogonal import cutting_force_from_shear, slip_line_shear_angle
from coolcheck.physics.tables import table
from coolcheck.physics.valid import OutOfRange, positive, within


def cook_rise(U: float, rho_c: float, v: float, to: float, K: float) -> float:
    """Mean rise of temperature at the interface of tool and chip, by Cook's equation.

    dT = 0.4 · U / (rho C) · (v to / K)^0.333

    U : specific energy of this cut, corrected for its chip thickness [J/m³]
    rho_c : density times heat capacity of the work material [J/(m³·K)]
    v : cutting speed [m/s]
    to : chip thickness before the cut [m]
    K : thermal diffusivity of the work material [m²/s]
    returns : rise above the temperature of the room [K]

    Valid: continuous chips, sharp tool, dry; an estimate of a mean.
    Source: N. H. Cook 1973, as in M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, sec. 20.5, eq. 20.22.

    >>> round(cook_rise(U=1.038e9, rho_c=3.0e6, v=100 / 60, to=0.5e-3, K=50e-6))
    353
    """
    return 0.4 * U / positive("heat capacity by volume [J/(m³·K)]", rho_c) * float((v * to / K) ** 0.333)


def trigger_law(v1: float, T1: float, v2: float, T2: float) -> tuple[float, float]:
    """The constants of a measured tool temperature over speed, from two readings.

    T = K · v^m

    v1 : cutting speed of the first reading [m/s]
    T1 : temperature read there, above the zero of the law's scale [K]
    v2 : cutting speed of the second reading, another one [m/s]
    T2 : temperature read there, above the same zero [K]
    returns : K, the temperature at 1 m/s, and the exponent m [K, -]

    Valid: between the readings; an empirical law, tied to the zero of its scale (that of Celsius in the source).
    Source: K. J. Trigger, as in M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, sec. 20.5.

    >>> K, m = trigger_law(v1=100 / 60, T1=505.0, v2=160 / 60, T2=592.0)
    >>> round(m, 3), round(K * (130 / 60) ** m)
    (0.338, 552)
    """
    if v1 == v2:
        raise OutOfRange("second cutting speed [m/s]", v2, "speeds other than the first", "Trigger's law")
    m = log(T2 / T1) / log(v2 / v1)
    return T1 / float(v1**m), m


def work_share_of_shear_heat(Theta: float, phi: float) -> float:
    """Share of the heat of the shear plane that stays in the work.

    nu = 0.15 · ln(27.5 / (Theta · tan phi))

    Theta : thermal number rho c v t1 / k [-]
    phi : shear angle [rad]
    returns : share nu [-]

    Valid: 10 < Theta · tan phi < 27.5; outside, this source gives no formula or a share below zero.
    Source: G. Boothroyd's curve as fitted in A. Ghosh, A. K. Mallik, Manufacturing Science, Ex. 4.6, p. 199 (second-hand).

    >>> round(work_share_of_shear_heat(Theta=41.45, phi=0.321751), 3)
    0.103
    """
    number = within("thermal number times tan(phi)", Theta * tan(phi), 10.0, 27.5, "Ghosh and Mallik Ex. 4.6")
    return 0.15 * log(27.5 / number)


def shear_plane_rise(Wp: float, nu: float, rho: float, c: float, v: float, t1: float, w: float) -> float:
    """Rise of temperature in the shear plane.

    theta_p = (1 - nu) · Wp / (rho c v t1 w)

    Wp : power spent in the shear plane [W]
    nu : share of its heat that stays in the work [-]
    rho : density of the work [kg/m³]
    c : heat capacity of the work [J/(kg·K)]
    v : cutting speed [m/s]
    t1 : chip thickness before the cut [m]
    w : width of cut [m]
    returns : rise of temperature [K]

    Valid: continuous chips.
    Source: A. Ghosh, A. K. Mallik, Manufacturing Science, Ex. 4.6, p. 199 (second-hand).

    >>> round(shear_plane_rise(Wp=1333.3, nu=0.1032, rho=7200.0, c=502.0, v=2.0, t1=0.25e-3, w=2e-3), 1)
    330.8
    """
    return (1 - within("share of heat", nu, 0.0, 1.0, "by its meaning")) * Wp / (rho * c * v * t1 * w)


def friction_rise(Wf: float, rho: float, c: float, k: float, v: float, t1: float, w: float, phi: float, rake: float) -> float:
    """Further rise of temperature of the chip along the rake face.

    theta_s = 1.13 · sqrt(1 / (rho c v t1 k (1 + tan(phi - rake)))) · Wf / w

    Wf : power spent in friction on the rake face [W]
    rho : density of the work [kg/m³]
    c : heat capacity of the work [J/(kg·K)]
    k : thermal conductivity of the work [W/(m·K)]
    v : cutting speed [m/s]
    t1 : chip thickness before the cut [m]
    w : width of cut [m]
    phi : shear angle [rad]
    rake : rake angle [rad]
    returns : rise of temperature [K]

    Valid: continuous chips, contact length of t1 (1 + tan(phi - rake)).
    Source: A. Ghosh, A. K. Mallik, Manufacturing Science, Ex. 4.6, p. 199 (second-hand).

    >>> cut = dict(rho=7200.0, c=502.0, k=43.6, v=2.0, t1=0.25e-3, w=2e-3)
    >>> round(friction_rise(Wf=266.7, phi=0.321751, rake=0.0, **cut))
    465
    """
    return 1.13 / sqrt(rho * c * v * t1 * k * (1 + tan(phi - rake))) * Wf / w


def boothroyd_rise(tau: float, rake: float, mu: float, rho: float, c: float, k: float, v: float, t1: float, w: float) -> float:
    """Rise of temperature at the interface from shear plane and friction together.

    Forces from the shear strength (Lee and Shaffer); Ws + Wf = Fc · v; `shear_plane_rise` + `friction_rise`.

    tau : shear strength of the work [Pa]
    rake : rake angle [rad]
    mu : friction between chip and tool [-]
    rho : density of the work [kg/m³]
    c : heat capacity of the work [J/(kg·K)]
    k : thermal conductivity of the work [W/(m·K)]
    v : cutting speed [m/s]
    t1 : chip thickness before the cut [m]
    w : width of cut [m]
    returns : rise above the temperature of the room [K]

    Valid: continuous chips; 10 < Theta tan(phi) < 27.5.
    Source: A. Ghosh, A. K. Mallik, Manufacturing Science, Ex. 4.6, p. 199 (second-hand), after G. Boothroyd.

    >>> steel = dict(rho=7200.0, c=502.0, k=43.6)
    >>> round(boothroyd_rise(tau=400e6, rake=0.0, mu=0.5, v=2.0, t1=0.25e-3, w=2e-3, **steel), 1)
    795.6
    """
    phi = slip_line_shear_angle(rake, mu)
    Fc = cutting_force_from_shear(t1, w, tau, phi, rake, mu)
    friction = Fc * (sin(rake) + tan(atan(mu) - rake) * cos(rake))
    chip_speed = v * sin(phi) / cos(phi - rake)
    Wf = friction * chip_speed
    Wp = Fc * v - Wf
    nu = work_share_of_shear_heat(rho * c * v * t1 / k, phi)
    return shear_plane_rise(Wp, nu, rho, c, v, t1, w) + friction_rise(Wf, rho, c, k, v, t1, w, phi, rake)


def loewen_shaw_chip_share(K: float, strain: float, v: float, t: float) -> float:
    """Share of the heat of the shear plane that goes with the chip, after Loewen and Shaw.

    R1 = 1 / (1 + 1.328 · sqrt(K · gamma / (v t)))

    K : thermal diffusivity of the work [m²/s]
    strain : shear strain gamma of the chip [-]
    v : cutting speed [m/s]
    t : chip thickness before the cut [m]
    returns : share R1 [-]

    Valid: continuous chips.
    Source: E. G. Loewen, M. C. Shaw, Trans. ASME 76 (1954) 217; summary from memory.

    >>> round(loewen_shaw_chip_share(K=12.7e-6, strain=2.5, v=3.0, t=0.25e-3), 4)
    0.7854
    """
    return 1 / (1 + 1.328 * sqrt(K * strain / positive("speed times thickness [m²/s]", v * t)))


def heat_share(to: str, cutting: str = "turning") -> Band:
    """Published share of the cutting power that goes to one receiver.

    to : chip and fluid | work | tool [-]
    cutting : turning or milling; nothing was found in print for drilling [-]
    returns : least, middle and greatest share [-]

    Valid: turning and milling, as orders of magnitude; the shares of different sources do not add up to one.
    Source: tables/heat_partition.csv.

    >>> heat_share("tool").high
    0.35
    """
    if cutting not in ("turning", "milling"):
        raise OutOfRange("kind of cutting", cutting, "turning, milling (others: nothing in print)", "heat partition")
    rows = {row["to"]: row for row in table("heat_partition")}
    if to not in rows:
        raise OutOfRange("receiver of heat", to, ", ".join(rows), "heat partition")
    low, high = float(rows[to]["low"]), float(rows[to]["high"])
    return Band(low, (low + high) / 2, high, rows[to]["source"])


def heat_into_fluid(P: float, share: float = 1.0) -> float:
    """Heat that the fluid must carry away.

    P : cutting power [W]
    share : of it that reaches the fluid; all of it is the safe bound [-]
    returns : heat flow [W]

    Valid: 0 <= share <= 1.
    Source: common practice, no source: take all of it, most of it leaves with the chip through the fluid in the end.

    >>> heat_into_fluid(P=1000.0)
    1000.0
    """
    return P * within("share of heat into the fluid", share, 0.0, 1.0, "by its meaning")


def flow_for_heat(P: float, rise: float, rho: float, c: float) -> float:
    """Flow that carries a heat flow at an allowed rise of the fluid's temperature.

    Q = P / (rho · c · dT)

    P : heat flow [W]
    rise : allowed rise dT [K]
    rho : density of the fluid [kg/m³]
    c : heat capacity of the fluid [J/(kg·K)]
    returns : flow [m³/s]

    Valid: rise above 0; no evaporation.
    Source: heat balance.

    >>> round(flow_for_heat(P=1000.0, rise=5.0, rho=998.207, c=4184.1) * 60000, 2)      # l/min
    2.87
    """
    return P / (rho * c * positive("allowed rise [K]", rise))


def fluid_rise(P: float, Q: float, rho: float, c: float) -> float:
    """Rise of temperature of a flow that takes up a heat flow; the reverse of `flow_for_heat`.

    P : heat flow [W]
    Q : flow [m³/s]
    rho : density of the fluid [kg/m³]
    c : heat capacity of the fluid [J/(kg·K)]
    returns : rise of temperature [K]

    Valid: Q above 0; no evaporation.
    Source: heat balance.

    >>> round(fluid_rise(P=1000.0, Q=2.87 / 60000, rho=998.207, c=4184.1), 2)
    5.01
    """
    return P / (rho * c * positive("flow [m³/s]", Q))
