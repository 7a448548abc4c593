"""A hard end for what one program may cost in time and memory, whatever it is made of.

The interpreter counts blocks and looks at the clock by itself; this catches what comes behind it. It rests on the system: where
that cannot ring an alarm or bound memory (Windows; a thread that is not the main one), only the interpreter's bounds hold.
"""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coolcheck.errors import LimitReached
from coolcheck.nc.limits import Limits

try:
    import resource
except ImportError:  # pragma: no cover - Windows
    resource = None  # type: ignore[assignment]

MEGABYTE = 1_000_000
_PAGES = Path("/proc/self/statm")  # only Linux tells how much is in use in the terms in which it bounds it
_PAGE = 4096 if resource is None else resource.getpagesize()


@contextmanager
def bounded(limits: Limits) -> Iterator[None]:
    """Within it: raises LimitReached when the time or the memory of `limits` is used up."""
    try:
        with _memory(limits.max_megabytes), _time(limits.max_seconds):
            yield
    except MemoryError as fault:
        says = f"reviewing this program takes more than {limits.max_megabytes:g} MB of memory, or more than there is"
        raise LimitReached(f"{says}; cut it into parts, or raise --most-megabytes") from fault


@contextmanager
def _time(seconds: float) -> Iterator[None]:
    can_ring = hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()
    if not can_ring or signal.getitimer(signal.ITIMER_REAL)[0]:  # none, or somebody else's alarm is running
        yield
        return

    def ring(_signal: int, _frame: object) -> None:
        says = f"reviewing this program takes longer than {seconds:g} s"
        raise LimitReached(f"{says}; cut it into parts, or raise --most-seconds")

    before = signal.signal(signal.SIGALRM, ring)
    # The timer is the system's monotonic one: setting the clock back does not make it late.
    signal.setitimer(signal.ITIMER_REAL, max(seconds, 1e-3))
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)


@contextmanager
def _memory(megabytes: float) -> Iterator[None]:
    used = _in_use()
    if used is None:
        yield
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    wanted = used + int(megabytes * MEGABYTE)
    is_set = soft == resource.RLIM_INFINITY or wanted < soft
    if is_set:
        resource.setrlimit(resource.RLIMIT_AS, (wanted if hard == resource.RLIM_INFINITY else min(wanted, hard), hard))
    try:
        yield
    finally:
        if is_set:
            resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def _in_use() -> int | None:
    """The bytes of address space in use; None where the system does not tell, or cannot bound them."""
    try:
        return int(_PAGES.read_text(encoding="ascii").split()[0]) * _PAGE
    except (OSError, ValueError, IndexError):
        return None
