"""Practice is evidence of nothing: what is asked to use it as such refuses."""

from __future__ import annotations

from collections.abc import Iterable

from tackside.errors import BadRequest
from tackside.records import Trial


def require_real(trial: Trial) -> Trial:
    """The trial, where it is none of practice. Raises BadRequest."""
    if trial.practice:
        raise BadRequest("practice.no-evidence", trial=trial.id)
    return trial


def require_alike(trials: Iterable[Trial]) -> None:
    """Practice stands beside practice only, real prints beside real ones. Raises BadRequest, which names both."""
    known = tuple(trials)
    practice = [each.id for each in known if each.practice]
    real = [each.id for each in known if not each.practice]
    if practice and real:
        raise BadRequest("practice.beside-real", practice=practice[0], real=real[0])
