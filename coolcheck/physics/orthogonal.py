"""Orthogonal cutting: shear angle, strain, forces on shear plane and rake face; and a drill's lip seen that way."""

from math import atan, cos, pi, sin, tan

from coolcheck.physics.valid import positive, within

_BOOK = "Groover, Fundamentals of Modern Manufacturing, 5th ed., ch. 20"


def shear_angle(chip_ratio: float, rake: float) -> float:
    """Shear plane angle from the thickness of the chip.

    tan(phi) = r cos(gamma) / (1 - r sin(gamma))

    chip_ratio : uncut over cut chip thickness, r [-]
    rake : rake angle gamma [rad]
    returns : shear plane angle phi [rad]

    Valid: 0 < r <= 1, rake -30 to 45 degrees; continuous chips.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, ch. 20.

    >>> from math import degrees, radians
    >>> round(degrees(shear_angle(chip_ratio=0.5/1.125, rake=radians(10))), 3)
    25.375
    """
    positive("chip ratio", within("chip ratio", chip_ratio, 0, 1, _BOOK))
    _rake(rake)
    return atan(chip_ratio * cos(rake) / (1 - chip_ratio * sin(rake)))


def shear_strain(phi: float, rake: float) -> float:
    """Shear strain of the chip.

    tan(phi - gamma) + cot(phi)

    phi : shear plane angle [rad]
    rake : rake angle gamma [rad]
    returns : shear strain [-]

    Valid: phi above 0 and below 90 degrees, rake -30 to 45 degrees.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, ch. 20.

    >>> from math import radians
    >>> round(shear_strain(phi=radians(25.375), rake=radians(10)), 3)
    2.383
    """
    _phi(phi)
    _rake(rake)
    return tan(phi - rake) + 1 / tan(phi)


def shear_force(Fc: float, Ft: float, phi: float) -> float:
    """Force along the shear plane.

    Fs = Fc cos(phi) - Ft sin(phi)

    Fc : cutting force [N]
    Ft : thrust force, across the cut surface [N]
    phi : shear plane angle [rad]
    returns : shear force Fs [N]

    Valid: phi above 0 and below 90 degrees.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, ch. 20.

    >>> from math import radians
    >>> round(shear_force(Fc=1559, Ft=1271, phi=radians(25.375)), 1)
    863.9
    """
    _phi(phi)
    return Fc * cos(phi) - Ft * sin(phi)


def shear_plane_area(h: float, b: float, phi: float) -> float:
    """Area of the shear plane.

    As = h b / sin(phi)

    h : uncut chip thickness [m]
    b : width of cut [m]
    phi : shear plane angle [rad]
    returns : area As [m2]

    Valid: phi above 0 and below 90 degrees.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, ch. 20.

    >>> from math import radians
    >>> round(shear_plane_area(h=0.0005, b=0.003, phi=radians(25.375)) * 1e6, 2)    # mm2
    3.5
    """
    _phi(phi)
    return positive("chip thickness h [m]", h) * positive("width of cut b [m]", b) / sin(phi)


def rake_face_friction(Fc: float, Ft: float, rake: float) -> float:
    """Coefficient of friction on the rake face.

    mu = (Fc sin(gamma) + Ft cos(gamma)) / (Fc cos(gamma) - Ft sin(gamma))

    Fc : cutting force [N]
    Ft : thrust force, across the cut surface [N]
    rake : rake angle gamma [rad]
    returns : coefficient of friction; its arc tangent is the friction angle [-]

    Valid: a force that presses on the rake face.
    Source: Groover, Fundamentals of Modern Manufacturing, 5th ed., 2012, ch. 20.

    >>> from math import radians
    >>> round(rake_face_friction(Fc=1559, Ft=1271, rake=radians(10)), 4)
    1.1581
    """
    _rake(rake)
    pressing = positive("force on the rake face [N]", Fc * cos(rake) - Ft * sin(rake))
    return (Fc * sin(rake) + Ft * cos(rake)) / pressing


def slip_line_shear_angle(rake: float, friction: float) -> float:
    """Shear plane angle of an ideally plastic material.

    phi = 45 deg + gamma - atan(mu)

    rake : rake angle gamma [rad]
    friction : coefficient of friction on the rake face, mu [-]
    returns : shear plane angle phi [rad]

    Valid: where the result lies above 0 and below 90 degrees.
    Source: E. H. Lee and B. W. Shaffer, as used in Ghosh and Mallik, Manufacturing Science, Ex. 4.14 (second-hand).

    >>> from math import degrees, radians
    >>> round(degrees(slip_line_shear_angle(rake=radians(18.61), friction=0.6)), 2)
    32.65
    """
    _rake(rake)
    return _phi(pi / 4 + rake - atan(friction))


def cutting_force_from_shear(h: float, b: float, strength: float, phi: float, rake: float, friction: float) -> float:
    """Cutting force from the shear strength of the work.

    Fc = h b tau cos(lambda - gamma) / (sin(phi) cos(phi + lambda - gamma)), tan(lambda) = mu

    h : uncut chip thickness [m]
    b : width of cut [m]
    strength : shear strength of the work as it is cut, tau [Pa]
    phi : shear plane angle [rad]
    rake : rake angle gamma [rad]
    friction : coefficient of friction on the rake face, mu [-]
    returns : cutting force Fc; times tan(lambda - gamma) it is the thrust Ft [N]

    Valid: phi + lambda - gamma below 90 degrees.
    Source: M. E. Merchant's circle, as in Ghosh and Mallik, Manufacturing Science, Ex. 4.14 (second-hand).

    >>> from math import radians
    >>> round(cutting_force_from_shear(125e-6, 0.011667, 400e6, radians(32.65), radians(18.61), friction=0.6), 0)
    1494.0
    """
    lean = atan(friction) - rake
    _phi(_phi(phi) + lean)
    return shear_plane_area(h, b, phi) * positive("shear strength [Pa]", strength) * cos(lean) / cos(phi + lean)


def lip_rake(helix: float, SIG: float) -> float:
    """Rake angle of a twist drill's lip at half its radius.

    tan(gamma) = tan(psi) / (2 sin(SIG/2))

    helix : helix angle psi at the outside [rad]
    SIG : point angle [rad]
    returns : rake angle at half the radius [rad]

    Valid: helix 0 to 60 degrees, 0 < SIG <= pi.
    Source: Ghosh and Mallik, Manufacturing Science, Ex. 4.14 (second-hand).

    >>> from math import degrees, radians
    >>> round(degrees(lip_rake(helix=radians(30), SIG=radians(118))), 2)
    18.61
    """
    within("helix [rad]", helix, 0, pi / 3, "a twist drill")
    within("point angle SIG [rad]", SIG, 0.1, pi + 1e-9, "a twist drill")
    return atan(tan(helix) / (2 * sin(SIG / 2)))


def lip_torque(Fc: float, DC: float) -> float:
    """Torque of a two-lip drill from the cutting force of one lip; a fifth of it is chisel edge and margins.

    M = 0.6 Fc D

    Fc : cutting force of one lip, at half the radius [N]
    DC : cutting diameter [m]
    returns : torque M [N·m]

    Valid: two lips, standard point.
    Source: Ghosh and Mallik, Manufacturing Science, Ex. 4.14 (second-hand).

    >>> round(lip_torque(Fc=1493.7, DC=0.020), 2)
    17.92
    """
    return 0.6 * Fc * positive("diameter DC [m]", DC)


def lip_thrust(Ft: float, SIG: float) -> float:
    """Thrust of a two-lip drill from the thrust force of one lip, chisel edge included.

    T = 5 Ft sin(SIG/2)

    Ft : thrust force of one lip, across the cut surface [N]
    SIG : point angle [rad]
    returns : thrust T [N]

    Valid: two lips, standard point.
    Source: Ghosh and Mallik, Manufacturing Science, Ex. 4.14 (second-hand).

    >>> from math import radians
    >>> round(lip_thrust(Ft=327.1, SIG=radians(118)), 0)
    1402.0
    """
    within("point angle SIG [rad]", SIG, 0.1, pi + 1e-9, "a twist drill")
    return 5 * Ft * sin(SIG / 2)


def _phi(phi: float) -> float:
    return within("shear plane angle [rad]", phi, 1e-6, pi / 2 - 1e-6, _BOOK)


def _rake(rake: float) -> float:
    return within("rake angle [rad]", rake, -pi / 6, pi / 4, _BOOK)
