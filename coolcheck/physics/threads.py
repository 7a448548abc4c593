"""Tapped threads: sizes, how much thread a hole leaves, torque of tapping, and how deep the hole must be.

"Percent of thread" means two things in the trade, 1.2 apart; both are here under names that cannot be mixed up.
"""

from math import isclose, pi, tan
from typing import NamedTuple

from coolcheck.physics.tables import number, table
from coolcheck.physics.valid import OutOfRange, not_negative, positive, within

_HEIGHT = 1.08253  # 5/4 of the 0.86603 P of a 60 degree triangle: twice the basic height of an internal thread, over P
_FULL_EXTERNAL = 1.29904  # 3/2 of it: twice the full depth of an external thread, over P
_ISO68 = "ISO 68-1"


class Thread(NamedTuple):
    """A metric or unified thread: major, pitch and minor diameter, root diameter of the bolt [m]."""

    major: float
    pitch_diameter: float
    minor: float
    root: float


class TapLead(NamedTuple):
    """Threads in the chamfer of a tap, from and to [-]."""

    least: float
    most: float


def thread(D: float, P: float) -> Thread:
    """Diameters of a 60 degree thread.

    d2 = D - 0.64952 P, D1 = D - 1.08253 P, d3 = D - 1.22687 P

    D : major diameter [m]
    P : pitch [m]
    returns : major, pitch and minor diameter, root diameter of the bolt [m]

    Valid: 60 degree threads of ISO 68-1 (metric and unified), P up to D/3.
    Source: ISO 68-1 and ISO 724, as standard texts print them.

    >>> [round(d * 1000, 3) for d in thread(D=0.010, P=0.0015)]    # mm
    [10.0, 9.026, 8.376, 8.16]
    """
    _size(D, P)
    return Thread(D, D - 0.64952 * P, D - _HEIGHT * P, D - 1.22687 * P)


def engagement_of_basic_height(D: float, hole: float, P: float) -> float:
    """Thread left by a hole, as a part of the basic height of an internal thread (the ISO sense).

    (D - Do) / (1.08253 P)

    D : major diameter [m]
    hole : diameter of the drilled hole, Do [m]
    P : pitch [m]
    returns : part of the basic height; 1.2 times `engagement_of_full_depth` [-]

    Valid: hole between the minor diameter less a tenth of P and the major diameter.
    Source: ISO 68-1; used by drill makers' tables.

    >>> round(engagement_of_basic_height(D=0.010, hole=0.0085, P=0.0015), 3)
    0.924
    """
    _hole(D, hole, P)
    return (D - hole) / (_HEIGHT * P)


def engagement_of_full_depth(D: float, hole: float, P: float) -> float:
    """Thread left by a hole, as a part of the full depth of an external thread (the sense of the US trade).

    (D - Do) / (1.29904 P)

    D : major diameter [m]
    hole : diameter of the drilled hole, Do [m]
    P : pitch [m]
    returns : part of the full depth; `engagement_of_basic_height` over 1.2 [-]

    Valid: hole between the minor diameter less a tenth of P and the major diameter.
    Source: Machinery's Handbook, 31st ed., 2020, p. 2155, Table 2.

    >>> round(engagement_of_full_depth(D=0.010, hole=0.0085, P=0.0015), 3)
    0.77
    """
    _hole(D, hole, P)
    return (D - hole) / (_FULL_EXTERNAL * P)


def tap_drill(D: float, P: float, engagement: float) -> float:
    """Diameter of the hole that leaves a given part of the full depth of thread.

    Do = D - 1.29904 P e

    D : major diameter [m]
    P : pitch [m]
    engagement : part of the full depth, the sense of `engagement_of_full_depth` [-]
    returns : diameter of the hole, Do [m]

    Valid: engagement 0.4 to 0.9, cutting taps.
    Source: Machinery's Handbook, 31st ed., 2020, p. 2155.

    >>> round(tap_drill(D=0.010, P=0.0015, engagement=0.77) * 1000, 2)    # mm
    8.5
    """
    _size(D, P)
    return D - _FULL_EXTERNAL * P * within("engagement of full depth", engagement, 0.4, 0.9, "trade use of tap drills")


def standard_tap_drill(D: float, P: float) -> float:
    """Tap drill of a metric coarse thread by the standard.

    D : major diameter [m]
    P : pitch [m]
    returns : diameter of the drill [m]

    Valid: M3 to M24 coarse as in the table; other threads: `tap_drill`.
    Source: ISO 2306, as printed in standard texts (tables/iso2306_tap_drills.csv).

    >>> round(standard_tap_drill(D=0.010, P=0.0015) * 1000, 2)    # mm
    8.5
    """
    for row in table("iso2306_tap_drills"):
        if isclose(float(row["D_mm"]), D * 1000, rel_tol=1e-6) and isclose(float(row["P_mm"]), P * 1000, rel_tol=1e-6):
            return float(row["drill_mm"]) / 1000
    raise OutOfRange("thread", f"{D * 1000:g} x {P * 1000:g} mm", "M3 to M24 coarse", "ISO 2306")


def forming_tap_hole(D: float, P: float) -> tuple[float, float]:
    """Least and most diameter of the hole for a forming tap.

    D - 0.49 P to D - 0.42 P

    D : major diameter [m]
    P : pitch [m]
    returns : least and most diameter [m]

    Valid: a rough rule; the tap maker's own table comes first.
    Source: trade rule read in print, no standard.

    >>> [round(d * 1000, 3) for d in forming_tap_hole(D=0.010, P=0.0015)]    # mm
    [9.265, 9.37]
    """
    _size(D, P)
    return D - 0.49 * P, D - 0.42 * P


def tapping_force(material: str) -> float:
    """Specific cutting force for `tapping_torque`.

    material : as the table names it (Ck45, X6CrNi18-10, GG25 ...) [word]
    returns : kc for tapping [Pa]

    Valid: the materials of the table; for this torque formula only.
    Source: a tap maker's catalogues, 2016-17 to 2022-23 (tables/tap_catalogue_2021_kc.csv).

    >>> tapping_force("Ck45") / 1e6
    3900.0
    """
    return number("tap_catalogue_2021_kc", "material", material, "kc") * 1e6


def tap_factor(tap: str, work: str, fine: bool = False) -> float:
    """Tool factor for `tapping_torque`.

    tap : spiral flute, spiral point, straight flute 5-pitch lead or straight flute 1.5-pitch lead [word]
    work : steel, cast iron and aluminium, or brass [word]
    fine : a fine thread [truth]
    returns : K [-]

    Valid: cutting taps of the table.
    Source: a tap maker's catalogues, 2016-17 to 2022-23 (tables/tap_catalogue_2021_tools.csv).

    >>> tap_factor("spiral flute", "steel")
    1.15
    """
    column, file = ("fine" if fine else "coarse"), "tap_catalogue_2021_tools"
    for row in table(file):
        if row["tap"] == tap and row["work"] == work and row[column]:
            return float(row[column])
    raise OutOfRange("tap and work", f"{tap} in {work}, {column}", "the filled cells of the table", "a tap maker's catalogues")


def tapping_torque(kc: float, K: float, D: float, hole: float) -> float:
    """Torque of a cutting tap.

    M = tan(30 deg) kc K (D - Do)^2 (D + 2 Do) / 24: kc K times a triangle of 60 degrees times the radius of its centroid

    kc : specific cutting force for tapping [Pa]
    K : tool factor [-]
    D : major diameter [m]
    hole : diameter of the drilled hole, Do [m]
    returns : torque M [N·m]

    Valid: hole below D; sharp cutting taps with fluid. A hole 0.1 mm small in M10 means 13 % more torque.
    Source: a tap maker's catalogues, 2016-17 p. 781, 2021 p. 639-640, 2022-23 p. 1157-1158.

    >>> round(tapping_torque(kc=3900e6, K=1.15, D=0.010, hole=0.0085), 2)
    6.55
    """
    positive("depth of thread D - hole [m]", D - positive("hole [m]", hole))
    return tan(pi / 6) * positive("kc [Pa]", kc) * positive("K", K) * (D - hole) ** 2 * (D + 2 * hole) / 24


def short_tapping_torque(kc: float, D: float, P: float) -> float:
    """Torque of a cutting tap by a shorter formula that knows nothing of the hole.

    M = kc P^2 D / 8

    kc : specific cutting force of that formula, see `short_tapping_force` [Pa]
    D : major diameter [m]
    P : pitch [m]
    returns : torque M [N·m]

    Valid: usual tap drills.
    Source: a thread tool maker's page on tap torque; its units are a misprint, only mm gives sensible torques.

    >>> round(short_tapping_torque(kc=2500e6, D=0.010, P=0.0015), 3)
    7.031
    """
    _size(D, P)
    return positive("kc [Pa]", kc) * P * P * D / 8


def short_tapping_force(material: str) -> float:
    """Specific cutting force for `short_tapping_torque`.

    material : as the table names it [word]
    returns : kc [Pa]

    Valid: the materials of the table; for that torque formula only.
    Source: a thread tool maker's page on tap torque (tables/tap_torque_page_kc.csv).

    >>> short_tapping_force("austenitic stainless") / 1e6
    3200.0
    """
    return number("tap_torque_page_kc", "material", material, "kc") * 1e6


def relative_torque(tap: str) -> tuple[float, float]:
    """Torque of a kind of tap over that of a straight-flute hand tap, least and most.

    tap : hand tap, spiral flute, spiral point or forming tap [word]
    returns : least and most ratio [-]

    Valid: M10x1.5 in medium-carbon steel, hole 8.5 mm, where it was measured; for forming taps a general statement.
    Source: a tap maker's catalogues, 2016-17 to 2022-23 (tables/tap_torque_ratios.csv).

    >>> relative_torque("forming tap")
    (2.0, 3.0)
    """
    return number("tap_torque_ratios", "tap", tap, "least"), number("tap_torque_ratios", "tap", tap, "most")


def torque_use(M: float, limit: float) -> float:
    """Part of a tap's torque limit that tapping uses.

    M : torque of tapping [N·m]
    limit : torque at which the tap breaks, as its maker states it [N·m]
    returns : torque over limit; from 1 on the tap breaks [-]

    Valid: a limit from the tool record; no published table of breaking torques was found, so none is assumed.
    Source: definition of a ratio.

    >>> round(torque_use(M=6.55, limit=16.0), 2)
    0.41
    """
    return not_negative("torque M [N·m]", M) / positive("torque limit [N·m]", limit)


def core_torque_limit(core: float, strength: float) -> float:
    """Torque at which a round core of a tap shears.

    M = pi dc^3 tau / 16

    core : effective core diameter of the fluted section, dc [m]
    strength : torsional strength of the tap's material, tau [Pa]
    returns : breaking torque [N·m]

    Valid: both values from the tap's maker; neither is published in general.
    Source: theory of torsion of round bars.

    >>> round(core_torque_limit(core=0.0055, strength=800e6), 1)
    26.1
    """
    return pi / 16 * positive("core diameter [m]", core) ** 3 * positive("torsional strength [Pa]", strength)


def tap_lead(form: str) -> TapLead:
    """Threads in the chamfer of a tap.

    form : A to F [word]
    returns : least and most threads [-]

    Valid: lead forms of DIN 2197.
    Source: DIN 2197, as printed in trade texts (tables/din2197_leads.csv).

    >>> tap_lead("C")
    TapLead(least=2.0, most=3.0)
    """
    return TapLead(number("din2197_leads", "form", form, "least"), number("din2197_leads", "form", form, "most"))


def hole_depth_for_thread(full_thread: float, P: float, lead: float, centre: float = 0.0, clearance: float = 1.0) -> float:
    """Depth of a blind hole, at full diameter, that a thread of a given depth needs.

    full thread + lead P + centre + clearance P

    full_thread : depth of thread that must be full [m]
    P : pitch [m]
    lead : threads in the chamfer of the tap, the larger number of `tap_lead` [-]
    centre : length of an outside centre in front of the chamfer, if the tap has one [m]
    clearance : room below, in pitches [-]
    returns : depth of the hole at full diameter [m]

    Valid: cutting taps in blind holes; chips that stay in the hole need more.
    Source: a tap maker's advice page: effective thread, chamfer, centre and one pitch.

    >>> round(hole_depth_for_thread(full_thread=0.020, P=0.0015, lead=3) * 1000, 2)    # mm
    26.0
    """
    below = not_negative("lead", lead) + not_negative("clearance", clearance)
    return not_negative("full thread [m]", full_thread) + below * positive("P [m]", P) + not_negative("centre [m]", centre)


def hole_depth_by_diameter(full_thread: float, D: float) -> float:
    """Depth of a blind hole for a thread, by the British rule of thumb.

    full thread times 1.25 below M6, 1.20 from M6 to M12, 1.15 above

    full_thread : depth of thread that must be full [m]
    D : major diameter [m]
    returns : depth of the hole at full diameter [m]

    Valid: metric threads; of this and `hole_depth_for_thread` the larger is the safe one.
    Source: BS 1936 (undercuts and runouts for screw threads), as printed on an engineering reference page.

    >>> round(hole_depth_by_diameter(full_thread=0.020, D=0.010) * 1000, 2)    # mm
    24.0
    """
    size = positive("D [m]", D) * 1000
    return not_negative("full thread [m]", full_thread) * (1.25 if size < 6 else 1.20 if size <= 12 else 1.15)


def full_thread_in_hole(hole_depth: float, P: float, lead: float, centre: float = 0.0, clearance: float = 1.0) -> float:
    """Depth of full thread that a tap can leave in a blind hole.

    hole_depth : depth of the hole at full diameter [m]
    P : pitch [m]
    lead : threads in the chamfer of the tap, the larger number of `tap_lead` [-]
    centre : length of an outside centre in front of the chamfer, if the tap has one [m]
    clearance : room below, in pitches [-]
    returns : depth of full thread, 0 when the hole is too shallow for any [m]

    Valid: as `hole_depth_for_thread`, of which it is the other way round.
    Source: a tap maker's advice page: effective thread, chamfer, centre and one pitch.

    >>> round(full_thread_in_hole(hole_depth=0.026, P=0.0015, lead=3) * 1000, 2)    # mm
    20.0
    """
    return max(0.0, not_negative("hole depth [m]", hole_depth) - hole_depth_for_thread(0.0, P, lead, centre, clearance))


def tapping_feed_speed(n: float, P: float, starts: int = 1) -> float:
    """Feed speed that a tap needs.

    vf = n P, for every start

    n : spindle speed [1/s]
    P : pitch [m]
    starts : number of starts of the thread [-]
    returns : feed speed vf [m/s]

    Valid: always; whatever differs from it the holder or the thread must take.
    Source: geometry of a screw.

    >>> round(tapping_feed_speed(n=318.31/60, P=0.0015) * 60_000, 2)    # mm/min
    477.46
    """
    return not_negative("n [1/s]", n) * positive("P [m]", P) * positive("starts", starts)


def float_needed(vf: float, n: float, P: float, depth: float) -> float:
    """Length by which a floating holder must give way because feed and pitch do not match.

    |vf/(n P) - 1| depth

    vf : feed speed as programmed [m/s]
    n : spindle speed [1/s]
    P : pitch [m]
    depth : depth tapped [m]
    returns : length the holder must take up [m]

    Valid: single start; speeding up and reversing ask for more.
    Source: geometry of a screw.

    >>> round(float_needed(vf=0.0101, n=1/0.15, P=0.0015, depth=0.020) * 1000, 2)    # 1 % over 20 mm, in mm
    0.2
    """
    positive("n [1/s]", n)
    return abs(not_negative("vf [m/s]", vf) / tapping_feed_speed(n, P) - 1) * not_negative("depth [m]", depth)


def _size(D: float, P: float) -> None:
    positive("major diameter D [m]", D)
    within("pitch over major diameter", positive("pitch P [m]", P) / D, 0, 1 / 3, _ISO68)


def _hole(D: float, hole: float, P: float) -> None:
    _size(D, P)
    within("hole [m]", hole, D - (_HEIGHT + 0.1) * P, D, "a hole for a thread")
