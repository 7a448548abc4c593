"""Around the pump: filter against passages, tank against flow, rotary union against its limits."""

from coolcheck.physics.band import Band
from coolcheck.physics.channels import channel_volume
from coolcheck.physics.tables import table
from coolcheck.physics.valid import OutOfRange, not_negative, positive


def coarsest_filter(passage: float) -> float:
    """Coarsest filter that keeps a passage from clogging: particles of a tenth of it.

    passage : diameter of the smallest passage [m]
    returns : filter fineness [m]

    Valid: passages of fluid in tools and holders.
    Source: common practice, no source.

    >>> round(coarsest_filter(0.0007) * 1e6)                             # µm
    70
    """
    return positive("diameter of the passage [m]", passage) / 10


def filter_load(fineness: float, passage: float) -> float:
    """Fineness of a filter over the coarsest that the passage allows; above 1 the filter is too coarse.

    fineness : of the filter [m]
    passage : diameter of the smallest passage [m]
    returns : ratio [-]

    Valid: as `coarsest_filter`.
    Source: common practice, no source.

    >>> round(filter_load(fineness=100e-6, passage=0.0005), 3)
    2.0
    """
    return positive("filter fineness [m]", fineness) / coarsest_filter(passage)


def filter_for(use: str) -> Band:
    """Filter fineness that a use asks for.

    use : deep hole | union | small drill | flood [-]
    returns : finest, and coarsest named; the coarsest is the limit, and likely stands for it [m]

    Valid: drills below 2 to 3 mm count as small.
    Source: tables/filter_guidance.csv, each row with its own.

    >>> round(filter_for("deep hole").high * 1e6)                        # µm
    20
    """
    rows = {row["use"]: row for row in table("filter_guidance")}
    if use not in rows:
        raise OutOfRange("use of the filter", use, ", ".join(rows), "tables/filter_guidance.csv")
    row = rows[use]
    coarsest = float(row["coarsest"]) * 1e-6
    return Band(float(row["finest"]) * 1e-6, coarsest, coarsest, row["source"])


def turnover_time(V: float, Q: float) -> float:
    """Time in which a flow passes the whole tank once.

    t = V / Q

    V : volume of fluid in the tank [m³]
    Q : flow of all pumps together [m³/s]
    returns : time [s]

    Valid: well mixed tank. No published limit was found; none is given here.
    Source: definition.

    >>> round(turnover_time(V=0.4, Q=40 / 60000) / 60, 1)                # minutes
    10.0
    """
    return positive("volume of the tank [m³]", V) / positive("flow [m³/s]", Q)


def tank_warming(P: float, V: float, rho: float, c: float) -> float:
    """How fast a tank warms under a heat flow that nothing takes away.

    dT/dt = P / (rho · c · V)

    P : heat flow, such as the power of the pump and of the cut [W]
    V : volume of fluid in the tank [m³]
    rho : density [kg/m³]
    c : heat capacity [J/(kg·K)]
    returns : rate [K/s]

    Valid: well mixed tank, no losses: an upper bound.
    Source: heat balance.

    >>> round(tank_warming(P=5000.0, V=0.4, rho=998.2, c=4184.0) * 3600, 1)      # K an hour
    10.8
    """
    return P / (rho * c * positive("volume of the tank [m³]", V))


def line_fill_time(d: float, L: float, Q: float) -> float:
    """Time in which a flow fills an empty line.

    t = volume / Q

    d : bore of the line [m]
    L : length of the line [m]
    Q : flow [m³/s]
    returns : time [s]

    Valid: steady flow; the pump's own start comes on top.
    Source: volume of a cylinder.

    >>> round(line_fill_time(d=0.006, L=1.0, Q=8 / 60000), 2)
    0.21
    """
    return channel_volume(d, L) / positive("flow [m³/s]", Q)


def union_load(p: float, most_pressure: float, n: float, top_speed: float) -> float:
    """How near a rotary union runs to its limits: the greater of pressure and speed over what is allowed.

    p : pressure of the fluid [Pa]
    most_pressure : highest pressure of the union, from its maker [Pa]
    n : spindle speed, turns a second [1/s]
    top_speed : highest speed of the union with fluid, from its maker [1/s]
    returns : ratio; above 1 a limit is passed [-]

    Valid: both limits hold at the same time; some makers allow less of the one at much of the other: their chart rules.
    Source: definition; limits come from the machine record only.

    >>> union_load(p=35e5, most_pressure=70e5, n=200.0, top_speed=250.0)
    0.8
    """
    pressure = not_negative("pressure [Pa]", p) / positive("highest pressure of the union [Pa]", most_pressure)
    return max(pressure, not_negative("speed [1/s]", n) / positive("top speed of the union [1/s]", top_speed))
