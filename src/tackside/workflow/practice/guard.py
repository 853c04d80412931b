"""Practice is evidence of nothing: what is asked to use it as such refuses."""

from __future__ import annotations

from tackside.errors import BadRequest
from tackside.records import Trial


def require_real(trial: Trial) -> Trial:
    """The trial, where it is none of practice. Raises BadRequest."""
    if trial.practice:
        raise BadRequest("practice.no-evidence", trial=trial.id)
    return trial
