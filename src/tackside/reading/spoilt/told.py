"""What is told of one setting that spoilt a scan, with how strongly, how surely, and what it leaves of the evidence."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.reading.scan.fitness import ScanFlaw
from tackside.reading.spoilt.samples import Part
from tackside.records.reading import Spoiling, SpoiltSetting


@dataclass(frozen=True)
class Told:
    """``degree`` and ``de00`` as in ``ScanFlaw``; 0 where the evidence is none the worse. The rest as in
    ``Spoiling``.
    """

    setting: SpoiltSetting
    message: Message
    amount: float
    unit: str
    confidence: float
    degree: float
    de00: float = 0.0
    part: Part | None = None

    @property
    def fault(self) -> ScanFlaw | None:
        return ScanFlaw(self.message, self.degree, self.de00) if self.degree > 0 else None

    def spoiling(self, sha256: str) -> Spoiling:
        return Spoiling(
            code=self.message.code,
            setting=self.setting,
            amount=round(float(self.amount), 4),
            unit=self.unit,
            confidence=round(float(self.confidence), 2),
            degree=self.degree,
            source_sha256=sha256,
            part_px=self.part,
        )


def surety(value: float, limit: float, sure: float) -> float:
    """0.5 at the ``limit`` from which it is told, 0.99 from ``sure`` on, straight in between: our own reckoning."""
    return min(0.5 + 0.49 * max(value - limit, 0.0) / (sure - limit), 0.99)
