"""What holds for all tests.

No deadline for single examples, which would measure the machine; and not as many of them as the
library makes by itself, since the default run shall stay short (campaigns state their own number).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

LONGEST = (
    "render/test_pdf.py",
    "checks/test_fault_solver.py",
    "remedies/test_offer.py",
    "properties/test_ignorance.py",
    "test_archive.py",
    "render/test_json_and_text_of_anything.py",
    "remedies/test_minimal.py",
    "page/test_whole_way.py",
    "remedies/test_cost.py",
    "render/test_json_document.py",
    "page/test_every_screen.py",
)
"""Files that begin first, longest first, so that no process waits for one of them at the end."""

settings.register_profile(
    "unhurried",
    deadline=None,
    max_examples=40,
    # Whole assessments are large and take their time to be drawn.
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.large_base_example,
    ],
)
settings.load_profile("unhurried")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the files that take longest before all others, whose order stays."""
    here = Path(__file__).parent
    rank = {here / name: number for number, name in enumerate(LONGEST)}
    items.sort(key=lambda item: rank.get(item.path, len(rank)))
