"""What holds for every test."""

from __future__ import annotations

from hypothesis import settings

# The same examples in every run, so that a red run tells of the change and not of luck. To look for new ones:
# pytest --hypothesis-profile=explore
settings.register_profile("explore", deadline=None, max_examples=1000)
settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.load_profile("repeatable")


def pytest_make_parametrize_id(val: object, argname: str) -> str | None:
    """A test is never named by the bytes it gets: these may be made anew by every worker (a packed file carries the
    second it was packed in), and workers that name one test differently can't share the work."""
    return argname if isinstance(val, bytes) else None
