"""What has come of a phone's visit so far, as both pages ask for it."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field


@dataclass
class Visit:
    """``entered``: a phone gave the password. ``job``: the reading that it sent. ``told``: it has seen how that ended.

    ``preview``: a picture that the phone's browser cannot draw itself, as JPEG. One picture is looked at at a time.
    """

    entered: bool = False
    looked: int = 0
    job: str | None = None
    told: bool = False
    preview: bytes | None = None
    at_work: threading.Lock = field(default_factory=threading.Lock)
