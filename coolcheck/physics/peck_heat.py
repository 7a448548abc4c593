"""Heat that pecking leaves in the wall of a hole, against the same hole in one pass. A screening estimate.

The model: while the drill cuts, its hot corners and margins heat the wall beside them. After a full retract the drill runs
back in at rapid, feeds through its re-entry clearance without cutting, and rubs the same wall again; its heat comes on top.
What one pass would have taken away with its chips is not credited: the estimate looks at the wall only.
"""

from collections.abc import Iterable, Sequence
from math import pi, sqrt

from coolcheck.physics.valid import OutOfRange, not_negative, positive, within

Stroke = tuple[float, float, float]  # start of the feed, end of the feed, depth to which it retracts; from the top [m]


def wall_flux(P: float, share: float, DC: float, zone: float) -> float:
    """Heat flux from the drill's corners into the wall beside them.

    q = share · P / (pi · DC · zone)

    P : cutting power [W]
    share : of it that enters the wall; nothing in print for drilling, so the caller must state it [-]
    DC : cutting diameter [m]
    zone : height of the hot zone along the hole, such as the height of the point [m]
    returns : heat flux [W/m²]

    Valid: 0 <= share <= 1; even spread around the hole.
    Source: derived here.

    >>> round(wall_flux(P=1000.0, share=0.1, DC=0.01, zone=0.003) / 1e6, 2)      # MW/m²
    1.06
    """
    within("share of heat into the wall", share, 0.0, 1.0, "by its meaning")
    return share * P / (pi * positive("cutting diameter [m]", DC) * positive("height of the hot zone [m]", zone))


def rubbing_seconds(strokes: Sequence[Stroke], vf: float, rapid: float) -> float:
    """Time for which a pecking drill runs inside its hole without cutting.

    Feed through the clearance above the floor, and rapids out and back in below the top of the hole.

    strokes : (start of the feed, its end, depth retracted to), each from the top, in order [m]
    vf : feed speed [m/s]
    rapid : speed of retract and return [m/s]
    returns : time [s]

    Valid: each stroke ends below the one before it.
    Source: derived here from the strokes; the last retract is left out, since one pass has it too.

    >>> pecks = [(0.0, 0.01, -0.002), (0.0095, 0.02, -0.002)]
    >>> round(rubbing_seconds(pecks, vf=0.01, rapid=0.5), 3)
    0.089
    """
    positive("feed speed [m/s]", vf)
    positive("rapid speed [m/s]", rapid)
    seconds = 0.0
    for (_, floor, back), (start, end, _) in zip(strokes, strokes[1:], strict=False):
        if end <= floor or start > floor:
            raise OutOfRange("stroke of a peck cycle [m]", (start, end), f"strokes that go on from {floor:g}", "peck cycle")
        top = max(back, 0.0)
        seconds += (floor - top) / rapid + max(start - top, 0.0) / rapid + (floor - max(start, top)) / vf
    return seconds


def peck_heat_ratio(strokes: Sequence[Stroke], vf: float, rapid: float, rub: float) -> float:
    """Heat put into the wall by pecking over that by one pass to the same depth.

    1 + rub · (time rubbing in the hole) / (time cutting)

    strokes : (start of the feed, its end, depth retracted to), each from the top, in order [m]
    vf : feed speed [m/s]
    rapid : speed of retract and return [m/s]
    rub : heat flow into the wall while rubbing over that while cutting; the caller states it, no source [-]
    returns : ratio, 1 for a single pass [-]

    Valid: 0 <= rub <= 1; screening estimate.
    Source: derived here; the model of this module.

    >>> pecks = [(0.0, 0.01, -0.002), (0.0095, 0.02, -0.002)]
    >>> round(peck_heat_ratio(pecks, vf=0.01, rapid=0.5, rub=0.5), 3), peck_heat_ratio(pecks[:1], 0.01, 0.5, 0.5)
    (1.022, 1.0)
    """
    within("heat of rubbing over heat of cutting", rub, 0.0, 1.0, "screening model")
    if not strokes:
        raise OutOfRange("number of strokes", 0, "one or more", "peck cycle")
    depth = strokes[-1][1] - max(strokes[0][0], 0.0)
    cutting = positive("depth of the hole [m]", depth) / positive("feed speed [m/s]", vf)
    return 1 + rub * rubbing_seconds(strokes, vf, rapid) / cutting


def wall_rise(pulses: Iterable[tuple[float, float, float]], t: float, k: float, alpha: float) -> float:
    """Rise of temperature of a wall after, or during, a train of heat pulses.

    Sum over the pulses of (2q/k) · sqrt(alpha/pi) · (sqrt(t - on) - sqrt(t - off)), the latter once it has ended

    pulses : (start [s], end [s], heat flux [W/m²]) of each visit of the drill to this part of the wall
    t : time to look at [s]
    k : thermal conductivity of the work [W/(m·K)]
    alpha : thermal diffusivity of the work [m²/s]
    returns : rise of the temperature of the wall [K]

    Valid: no heat into the fluid between the pulses (upper bound); wall thick against sqrt(4 alpha t), hole wide against it.
    Source: superposition of the constant-flux solution of a semi-infinite solid (J. P. Holman, Heat Transfer, ch. 4).

    >>> one = wall_rise([(0.0, 1.0, 1e6)], t=1.0, k=45.0, alpha=1.27e-5)
    >>> two = wall_rise([(0.0, 1.0, 1e6), (2.0, 3.0, 1e6)], t=3.0, k=45.0, alpha=1.27e-5)
    >>> round(one, 1), round(two, 1)
    (89.4, 117.8)
    """
    positive("thermal conductivity [W/(m·K)]", k)
    rise = 0.0
    for on, off, q in pulses:
        not_negative("length of a pulse [s]", off - on)
        since_on, since_off = max(t - on, 0.0), max(t - off, 0.0)
        rise += 2 * q / k * sqrt(alpha / pi) * (sqrt(since_on) - sqrt(since_off))
    return rise
