"""The seconds that a rewrite claims to save, against the closed form of a full-retract peck cycle.

Every stroke but the first goes back in at rapid, to d above the last bottom, and every stroke but the last comes out to R
at rapid; a rapid over L takes L/V + V/a, or 2 sqrt(L/a) when it does not reach V (constant acceleration, elementary kinematics).
"""

import math
from pathlib import Path

import pytest
from small_shop import TODAY

from coolcheck.records.binding import bind
from coolcheck.rewrite.bench import Bench
from coolcheck.rewrite.rewrite import Rewrite, rewrite
from coolcheck.rewrite.targets import Choice

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
RAPID, RAMP, SETTLE = 1.0, 7.0, 0.02  # machine Halden 4: m/s, m/s2, s
BACK_OFF = 0.254e-3  # of the dialect


def sample(name: str, job: str = "") -> Rewrite:
    path = SAMPLES / "programs" / f"{name}.nc"
    bench = Bench.of(bind(path, SAMPLES / f"{job or name}.job.yaml"))
    return rewrite(path.read_bytes(), str(path), bench, Choice(frozenset({"single_pass"})), TODAY)


def rapid(length: float) -> float:
    """Time of one rapid of that length [s]."""
    if length <= 0:
        return 0.0
    ramped = RAPID**2 / RAMP
    return (length / RAPID + RAPID / RAMP if length >= ramped else 2 * math.sqrt(length / RAMP)) + SETTLE


def pecking(travel: float, peck: float, feed: float) -> float:
    """Seconds that full-retract pecks take more than one stroke over the same travel from R to the bottom."""
    count = math.ceil(travel / peck - 1e-9)
    return sum(rapid(i * peck) + rapid(i * peck - BACK_OFF) + BACK_OFF / feed for i in range(1, count))


@pytest.mark.parametrize(("hole", "travel"), [(0, 0.044), (1, 0.044), (2, 0.038)])
def test_seconds_saved_on_the_manifold_agree_with_the_closed_form(hole: int, travel: float) -> None:
    done = sample("manifold-drill-tap")
    time = done.stages[0].holes[hole]

    assert time.tool == 5
    assert time.before - time.after == pytest.approx(pecking(travel, 0.004, 0.6 / 60), rel=0.01)


def test_seconds_saved_on_the_deep_holes_agree_with_the_closed_form() -> None:
    """The slow entry takes its own time: 16 mm at the entry feed, the dwell until pressure (1.5 s) and spindle (1.8 s) are there,
    and no feed of the drill over that way. So does the way out: it stops in the pilot for 1.8 s, until the spindle is slow."""
    done = sample("deep-hole-plate")
    times = done.stages[0].holes
    fast, slow = 0.56 / 60, 0.5 / 60
    entry = 0.016 / slow - 0.016 / fast + 1.8
    way_out = rapid(0.098) + 1.8 + rapid(0.016) - rapid(0.114)

    assert len(times) == 4
    for time in times:
        assert time.before - time.after == pytest.approx(pecking(0.114, 0.008, fast) - entry - way_out, rel=0.01)


@pytest.mark.parametrize(
    ("job", "says"),
    [
        ("deep-hole-plate-no-pump", "only prepared"),
        ("deep-hole-plate-21-bar", "less than the 40 bar needed"),
    ],
)
def test_without_pump_or_pressure_the_deep_holes_keep_their_pecks(job: str, says: str) -> None:
    done = sample("deep-hole-plate", job)

    assert not done.is_changed and says in done.refusals[0].says


def test_without_the_pump_the_manifold_is_refused_with_what_is_missing() -> None:
    done = sample("manifold-drill-tap", "manifold-drill-tap-no-pump")

    assert not done.is_changed and len(done.refusals) == 2
    assert all("only prepared" in refusal.says and refusal.missing for refusal in done.refusals)
