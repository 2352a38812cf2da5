"""What holds for all tests.

No deadline for single examples, which would measure the machine; and not as many of them as the
library makes by itself, since the default run shall stay short (campaigns state their own number).
"""

from __future__ import annotations

from hypothesis import HealthCheck, settings

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
