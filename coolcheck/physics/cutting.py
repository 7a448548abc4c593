"""Speeds, feeds, removal rates, approach lengths and machining times of turning, drilling, milling and tapping.

Spindle speeds are revolutions per second, cutting and feed speeds m/s. The machining times state what travel they count:
textbooks differ in approach and overtravel, so both are arguments and never assumed.
"""

from math import acos, isclose, pi, sin, sqrt, tan

from coolcheck.physics.valid import not_negative, positive, within

_CUTTER = "geometry of a cutter"


def cutting_speed(n: float, DC: float) -> float:
    """Cutting speed at the outside of a turning tool or work.

    vc = pi D n

    n : spindle speed [1/s]
    DC : cutting diameter [m]
    returns : cutting speed vc [m/s]

    Valid: n 0 and more, DC above 0.
    Source: ISO 3002-1; Groover, Fundamentals of Modern Manufacturing, 5th ed., ch. 21.

    >>> round(cutting_speed(n=7.9577, DC=0.020), 4)
    0.5
    """
    return pi * positive("diameter DC [m]", DC) * not_negative("spindle speed n [1/s]", n)


def spindle_speed(vc: float, DC: float) -> float:
    """Spindle speed that gives a cutting speed.

    n = vc / (pi D)

    vc : cutting speed [m/s]
    DC : cutting diameter [m]
    returns : spindle speed n [1/s]

    Valid: vc 0 and more, DC above 0.
    Source: ISO 3002-1; Groover, Fundamentals of Modern Manufacturing, 5th ed., ch. 21.

    >>> round(spindle_speed(vc=0.5, DC=0.020), 4)
    7.9577
    """
    return not_negative("cutting speed vc [m/s]", vc) / (pi * positive("diameter DC [m]", DC))


def feed_speed(n: float, f: float) -> float:
    """Feed speed of a feed per revolution.

    vf = n f

    n : spindle speed [1/s]
    f : feed per revolution [m]
    returns : feed speed vf [m/s]

    Valid: n and f 0 and more.
    Source: ISO 3002-3, from memory; Groover, Fundamentals of Modern Manufacturing, 5th ed., ch. 21.

    >>> round(feed_speed(n=7.9577, f=0.00022) * 1000, 4)    # mm/s
    1.7507
    """
    return not_negative("spindle speed n [1/s]", n) * not_negative("feed f [m]", f)


def feed_per_revolution(vf: float, n: float) -> float:
    """Feed per revolution of a feed speed.

    f = vf / n

    vf : feed speed [m/s]
    n : spindle speed [1/s]
    returns : feed per revolution f [m]

    Valid: vf 0 and more, n above 0.
    Source: ISO 3002-3, from memory.

    >>> round(feed_per_revolution(vf=0.01, n=50), 6)
    0.0002
    """
    return not_negative("feed speed vf [m/s]", vf) / positive("spindle speed n [1/s]", n)


def feed_per_tooth(vf: float, n: float, ZEFP: int) -> float:
    """Feed per tooth of a feed speed.

    fz = vf / (n z)

    vf : feed speed [m/s]
    n : spindle speed [1/s]
    ZEFP : effective teeth around the cutter [-]
    returns : feed per tooth fz [m]

    Valid: vf 0 and more, n and ZEFP above 0.
    Source: ISO 3002-3, from memory.

    >>> round(feed_per_tooth(vf=0.010, n=100/60, ZEFP=10) * 1000, 3)    # mm
    0.6
    """
    return feed_per_revolution(vf, n) / positive("teeth ZEFP", ZEFP)


def removal_rate_turning(vc: float, f: float, ap: float) -> float:
    """Volume removed in a second by turning.

    Q = vc f ap

    vc : cutting speed, at the outside for an upper bound, at the mean diameter for the true value [m/s]
    f : feed per revolution [m]
    ap : depth of cut [m]
    returns : removal rate Q [m3/s]

    Valid: ap small against the diameter when vc is that of the outside.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., eq. of ch. 21.

    >>> round(removal_rate_turning(vc=2.0, f=0.00025, ap=0.0022) * 1e9, 3)    # mm3/s
    1100.0
    """
    return not_negative("vc [m/s]", vc) * not_negative("f [m]", f) * not_negative("ap [m]", ap)


def removal_rate_drilling(DC: float, vf: float, hole: float = 0.0) -> float:
    """Volume removed in a second by drilling, into the solid or opening a hole.

    Q = pi (D^2 - d^2) vf / 4

    DC : cutting diameter [m]
    vf : feed speed [m/s]
    hole : diameter of the hole already there, 0 for the solid [m]
    returns : removal rate Q [m3/s]

    Valid: 0 <= hole < DC.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., eq. of ch. 21.

    >>> round(removal_rate_drilling(DC=0.020, vf=0.0017507) * 1e9, 1)    # mm3/s
    550.0
    """
    positive("diameter DC [m]", DC)
    within("hole over DC", hole / DC, 0, 1, _CUTTER)
    return pi * (DC * DC - hole * hole) * not_negative("vf [m/s]", vf) / 4


def removal_rate_milling(ap: float, ae: float, vf: float) -> float:
    """Volume removed in a second by milling.

    Q = ap ae vf

    ap : depth of cut along the axis [m]
    ae : width of cut across the feed [m]
    vf : feed speed [m/s]
    returns : removal rate Q [m3/s]

    Valid: full engagement; entering and leaving the work it is less.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., eq. of ch. 21.

    >>> round(removal_rate_milling(ap=0.060, ae=0.006, vf=0.0023506) * 1e9, 1)    # mm3/s
    846.2
    """
    return not_negative("ap [m]", ap) * not_negative("ae [m]", ae) * not_negative("vf [m/s]", vf)


def removal_rate_tapping(D: float, hole: float, P: float, n: float) -> float:
    """Volume removed in a second by a cutting tap.

    The groove is a 60 degree trapezoid of height h = (D - Do)/2, P/8 wide at the root; a pitch of it lies on the circle Do + h.

    D : major diameter of the thread [m]
    hole : diameter of the drilled hole, Do [m]
    P : pitch [m]
    n : spindle speed [1/s]
    returns : removal rate Q, all teeth together [m3/s]

    Valid: hole below D; forming taps remove nothing.
    Source: derived from the thread profile of ISO 68-1.

    >>> round(removal_rate_tapping(D=0.010, hole=0.0085, P=0.0015, n=318.31/60) * 60e9)    # mm3/min
    4305
    """
    positive("pitch P [m]", P)
    positive("depth of thread (D - hole)/2 [m]", D - hole)
    h = (D - positive("hole [m]", hole)) / 2
    groove = h * (P / 8 + (P / 8 + 2 * h * tan(pi / 6))) / 2
    return groove * pi * (hole + h) * not_negative("n [1/s]", n)


def drill_point_length(DC: float, SIG: float) -> float:
    """Length of the cone of a drill point.

    A = D/2 tan(90 deg - SIG/2)

    DC : cutting diameter [m]
    SIG : point angle [rad]
    returns : length from the tip to the full diameter [m]

    Valid: 0 < SIG <= pi; two-cone and rounded points are shorter or longer.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., eq. of ch. 21.

    >>> from math import radians
    >>> round(drill_point_length(DC=0.020, SIG=radians(118)) * 1000, 4)    # mm
    6.0086
    """
    positive("diameter DC [m]", DC)
    within("point angle SIG [rad]", positive("point angle SIG [rad]", SIG), 0, pi + 1e-9, _CUTTER)
    return DC / 2 * tan((pi - min(SIG, pi)) / 2)


def approach_peripheral(DC: float, ae: float) -> float:
    """Travel of a peripheral cutter from touching the edge of the work to full engagement.

    A = sqrt(ae (D - ae)); the same form holds for a face mill that cuts a swath of width ae on one side

    DC : cutting diameter [m]
    ae : width of cut across the feed [m]
    returns : approach length A [m]

    Valid: 0 <= ae <= DC; beyond D/2 the cutter is in up to its own middle.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., eq. of ch. 21; Kalpakjian and Schmid: sqrt(ae D) for small ae.

    >>> round(approach_peripheral(DC=0.065, ae=0.006) * 1000, 3)    # mm
    18.815
    """
    share = _engaged(DC, ae)
    return DC * sqrt(share * (1 - share))


def approach_face(DC: float, width: float) -> float:
    """Travel of a face mill, centred on the work, from touching the edge to full engagement.

    A = (D - sqrt(D^2 - w^2)) / 2, and D/2 for work as wide as the cutter or wider

    DC : cutting diameter [m]
    width : width of the work [m]
    returns : approach length A [m]

    Valid: cutter centred on the work.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., eq. of ch. 21.

    >>> round(approach_face(DC=0.150, width=0.125) * 1000, 3)    # mm
    33.542
    """
    positive("diameter DC [m]", DC)
    not_negative("width [m]", width)
    return (DC - sqrt(DC * DC - width * width)) / 2 if width < DC else DC / 2


def machining_time(length: float, vf: float, approach: float = 0.0, overtravel: float = 0.0) -> float:
    """Time under feed of one cut.

    Tm = (L + A + O) / vf. Convention: the caller says what it counts. Turning: length alone. Drilling: full-diameter depth or
    plate thickness, with the point as approach. Milling: length of the work, with the cutter's approach and overtravel.

    length : length of the cut [m]
    vf : feed speed [m/s]
    approach : travel before full engagement [m]
    overtravel : travel behind the work [m]
    returns : time under feed [s]

    Valid: lengths 0 and more, vf above 0.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., eq. of ch. 21.

    >>> round(machining_time(length=0.015, vf=0.0017507, approach=0.0060086), 2)
    12.0
    """
    ends = not_negative("approach [m]", approach) + not_negative("overtravel [m]", overtravel)
    return (not_negative("length [m]", length) + ends) / positive("feed speed vf [m/s]", vf)


def turning_time(length: float, diameter: float, f: float, vc: float) -> float:
    """Time under feed of one turning pass.

    Tm = pi Do L / (f vc)

    length : length of the pass [m]
    diameter : diameter of the work before the pass, Do [m]
    f : feed per revolution [m]
    vc : cutting speed at that diameter [m/s]
    returns : time under feed [s]

    Valid: constant spindle speed through the pass.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., eq. of ch. 21.

    >>> round(turning_time(length=0.450, diameter=0.120, f=0.00025, vc=2.0), 2)
    339.29
    """
    return machining_time(length, feed_speed(spindle_speed(vc, diameter), f))


def contact_angle(DC: float, ae: float) -> float:
    """Angle over which a tooth of a peripheral cutter is in the work.

    phi_s = acos(1 - 2 ae/D)

    DC : cutting diameter [m]
    ae : width of cut across the feed, from the side [m]
    returns : contact angle, pi for a full slot [rad]

    Valid: 0 <= ae <= DC.
    Source: geometry; Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory.

    >>> from math import degrees
    >>> round(degrees(contact_angle(DC=0.080, ae=0.005)), 3)
    28.955
    """
    return acos(1 - 2 * _engaged(DC, ae))


def mean_chip_thickness(fz: float, DC: float, ae: float, KAPR: float = pi / 2) -> float:
    """Chip thickness of milling, averaged over the contact angle.

    hm = 2 fz sin(kappa) ae / (D phi_s)

    fz : feed per tooth [m]
    DC : cutting diameter [m]
    ae : width of cut across the feed [m]
    KAPR : cutting edge angle, 90 deg for a cutter with straight flanks [rad]
    returns : mean chip thickness hm [m]

    Valid: 0 < ae <= DC, 0 < KAPR <= pi/2; fz small against DC.
    Source: Dietrich/Tschaetsch, Praxis der Zerspantechnik, from memory; the mean of fz sin(phi) sin(kappa) over the contact.

    >>> round(mean_chip_thickness(fz=0.00025, DC=0.080, ae=0.005) * 1000, 5)    # mm
    0.06184
    """
    positive("width of cut ae [m]", ae)
    within("cutting edge angle KAPR [rad]", KAPR, 1e-6, pi / 2 + 1e-9, _CUTTER)
    return 2 * not_negative("fz [m]", fz) * sin(KAPR) * ae / (DC * contact_angle(DC, ae))


def tooth_contact_time(DC: float, ae: float, n: float) -> float:
    """Time a tooth is in the work in each turn of a milling cutter.

    t = phi_s / (2 pi n); the rest of the turn, up to 1/n, it is out and cools

    DC : cutting diameter [m]
    ae : width of cut across the feed, from the side [m]
    n : spindle speed [1/s]
    returns : time in the work per revolution [s]

    Valid: 0 <= ae <= DC, n above 0.
    Source: geometry.

    >>> round(tooth_contact_time(DC=0.010, ae=0.010, n=50), 6)    # a slot: half of each turn
    0.01
    """
    return contact_angle(DC, ae) / (2 * pi * positive("spindle speed n [1/s]", n))


def _engaged(DC: float, ae: float) -> float:
    """Width of cut over diameter; what rounding made wider than the cutter is as wide as the cutter."""
    ratio = not_negative("width of cut ae [m]", ae) / positive("diameter DC [m]", DC)
    return within("ae over DC", 1.0 if isclose(ratio, 1.0) else ratio, 0, 1, _CUTTER)
