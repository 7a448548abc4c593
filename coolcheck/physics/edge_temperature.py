"""Temperature of an edge over its passages: it warms while it cuts, cools while it idles, dry or wet."""

import numpy as np
import numpy.typing as npt

from coolcheck.physics.valid import OutOfRange, not_negative, positive

Floats = npt.NDArray[np.float64]


def steady_temperature(P: float, h: float, A: float, T_fluid: float) -> float:
    """Temperature that an edge would reach if it took up this heat for ever.

    T = T_fluid + P / (h · A)

    P : heat into the edge [W]
    h : heat transfer coefficient [W/(m²·K)]
    A : surface that gives off heat [m²]
    T_fluid : temperature of what surrounds it [K]
    returns : target temperature [K]

    Valid: lumped edge.
    Source: heat balance.

    >>> steady_temperature(P=10.0, h=1000.0, A=1e-4, T_fluid=300.0)
    400.0
    """
    return T_fluid + P / (positive("heat transfer coefficient [W/(m²·K)]", h) * positive("surface [m²]", A))


def edge_time_constant(C: float, h: float, A: float) -> float:
    """How fast an edge comes near its target temperature.

    tau = C / (h · A)

    C : heat capacity of the edge [J/K]
    h : heat transfer coefficient [W/(m²·K)]
    A : surface that gives off heat [m²]
    returns : time constant [s]

    Valid: lumped edge: take so small a piece that h · V / (A · k) < 0.1.
    Source: heat balance; Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5.

    >>> round(edge_time_constant(C=2.402, h=1000.0, A=403.1e-6), 2)
    5.96
    """
    return C / (positive("heat transfer coefficient [W/(m²·K)]", h) * positive("surface [m²]", A))


def temperatures_over(T0: float | Floats, seconds: Floats, targets: Floats, taus: Floats) -> Floats:
    """Temperature of an edge at the end of each of its spans, exact for any length of span.

    T_next = target + (T - target) · exp(-seconds / tau)

    T0 : temperature before the first span; an array for many edges at once [K]
    seconds : length of each span, along the first axis [s]
    targets : what each span tends to: `steady_temperature`, an interface temperature, or the fluid's [K]
    taus : time constant of each span [s]
    returns : temperatures, T0 first, then one for each span [K]

    Valid: lumped edge, constant conditions within a span.
    Source: exact solution of the lumped heat balance.

    >>> [float(T) for T in temperatures_over(300.0, np.array([1e9, 0.0]), np.array([900.0, 300.0]), np.array([1.0, 1.0]))]
    [300.0, 900.0, 900.0]
    """
    seconds, targets, taus = np.broadcast_arrays(
        np.asarray(seconds, dtype=np.float64), np.asarray(targets, dtype=np.float64), np.asarray(taus, dtype=np.float64)
    )
    if not seconds.ndim:
        raise OutOfRange("spans of an edge", "a single number", "a list along the first axis", "edge temperature")
    not_negative("shortest span [s]", float(seconds.min(initial=0.0)))
    positive("shortest time constant [s]", float(taus.min(initial=1.0)))
    decay = np.exp(-seconds / taus)
    T = np.empty((len(seconds) + 1, *np.broadcast_shapes(seconds.shape[1:], np.shape(T0))))
    T[0] = T0
    for i in range(len(seconds)):
        T[i + 1] = targets[i] + (T[i] - targets[i]) * decay[i]
    return T


def quenches(temperatures: Floats, is_wet: npt.NDArray[np.bool_], T_fluid: float) -> Floats:
    """How much hotter than the fluid the edge is each time that the fluid comes onto it.

    temperatures : of one edge as `temperatures_over` gives them: before the first span, then after each [K]
    is_wet : for each span, whether fluid reaches the edge [-]
    T_fluid : temperature of the fluid [K]
    returns : one quench for each dry span followed by a wet one, and for a wet first span; never below 0 [K]

    Valid: lumped edge.
    Source: derived here.

    >>> quenches(np.array([300.0, 900.0, 400.0]), np.array([False, True]), 300.0).tolist()
    [600.0]
    """
    wet = np.asarray(is_wet, dtype=bool)
    comes = wet & ~np.concatenate(([False], wet[:-1]))
    excess: Floats = np.maximum(np.asarray(temperatures, dtype=np.float64)[:-1][comes] - T_fluid, 0.0)
    return excess
