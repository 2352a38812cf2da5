"""What holds for all tests: no deadline for single examples, which would measure the machine."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
