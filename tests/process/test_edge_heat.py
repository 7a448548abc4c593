"""How hot an edge is after a dry cut."""

from dataclasses import replace
from pathlib import Path

import pytest

from coolcheck.folder.one import Settings, process_file
from coolcheck.known import no
from coolcheck.process.edge_heat import MOST_RISE, rises_after
from coolcheck.process.model import Timeline
from coolcheck.process.quench import interface_rise

ROOT = Path(__file__).resolve().parents[2]


def timeline(name: str) -> Timeline:
    review = process_file(ROOT / "samples" / "programs" / f"{name}.nc", Settings(base=ROOT))
    assert review.timeline is not None
    return review.timeline


def test_a_dry_edge_is_at_the_interface_temperature_when_its_cut_ends_then_cools() -> None:
    told = timeline("steel-face-finish")
    dry = told.edges[0].passages[0]
    at_once, later, much_later = rises_after(dry, (0.0, 1.0, 60.0), told).value

    assert at_once == pytest.approx(interface_rise(dry.operation, told).value)
    assert at_once > later > much_later > 0


def test_a_long_heated_body_cools_as_the_book_says() -> None:
    # A half space under a constant flux for t1: surface rise ∝ √t1; after an idle time t: ∝ √(t1 + t) − √t.
    # Source: H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 2nd ed., 1959, section 2.9; from memory.
    told = timeline("steel-face-finish")
    dry = told.edges[0].passages[0]
    cutting = dry.seconds.value
    start, after = rises_after(dry, (0.0, 5.0), told).value

    assert after / start == pytest.approx(((cutting + 5.0) ** 0.5 - 5.0**0.5) / cutting**0.5, rel=1e-6)


def test_nothing_is_computed_under_fluid_and_nothing_beyond_what_metal_bears() -> None:
    steel, nickel = timeline("steel-face-finish"), timeline("nickel-ring")
    wet = steel.edges[0].passages[1]
    ceramic = replace(nickel.edges[0].passages[0], wet=no())

    assert wet.wet.is_yes
    assert "under fluid" in rises_after(wet, (0.0,), steel).missing[0].question
    assert interface_rise(ceramic.operation, nickel).value > MOST_RISE
    assert "melts" in rises_after(ceramic, (0.0,), nickel).missing[0].question
