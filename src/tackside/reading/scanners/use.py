"""Which scanner a sheet was read with, and on which inks and surface."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records.scanner import Scanner


@dataclass(frozen=True)
class ScannerUse:
    """``inks``: the printer whose inks are on the sheet; ``surface`` and ``stock``: what they lie on."""

    scanner: Scanner
    inks: str
    surface: str
    stock: str
