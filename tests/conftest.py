"""What holds for every test."""

from __future__ import annotations

from hypothesis import settings

# The same examples in every run, so that a red run tells of the change and not of luck. To look for new ones:
# pytest --hypothesis-profile=explore
settings.register_profile("explore", deadline=None, max_examples=1000)
settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.load_profile("repeatable")
