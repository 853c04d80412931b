"""Work in the background is bounded, as docs/workbench.md says."""

from __future__ import annotations

import pytest

from tackside.web.jobs.engine.kinds import GIGABYTE, KINDS


@pytest.mark.parametrize("name", sorted(KINDS))
def test_every_kind_of_job_ends_in_time_and_stays_within_memory(name: str) -> None:
    kind = KINDS[name]
    assert kind.memory_bytes <= 6 * GIGABYTE
    assert kind.seconds <= (8 * 3600 if name == "send" else 1800)
