"""The deep run tells how many inputs it has tried."""

import pytest

from tests.properties import TRIED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if not TRIED:
        return
    total = sum(count for name, count in TRIED.items() if "," not in name)
    each = "; ".join(f"{name} {count:,}" for name, count in TRIED.items())
    terminalreporter.write_line(f"deep: {total:,} inputs tried ({each})")
