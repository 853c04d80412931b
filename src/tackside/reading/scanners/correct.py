"""A reading's colours by what is known of its scanner, and how far they can then be trusted."""

from __future__ import annotations

import numpy as np

from tackside.errors import BadRequest
from tackside.reading.scanners.drift import drift_of
from tackside.reading.scanners.model import apply
from tackside.reading.scanners.use import ScannerUse
from tackside.records import Reading
from tackside.records.scanner import Characterisation

# Parts of the uncertainty that cross-validation on one sheet cannot show, ΔE00, one standard uncertainty each (this
# project's own estimates): the instrument and the scanner's repeatability; another stock of the same surface;
# other inks than
# those learnt; a photographic target in place of print inks; another surface.
REPEATED, OTHER_STOCK, OTHER_INKS, OF_A_TARGET, OTHER_SURFACE = 0.3, 0.5, 2.0, 2.0, 1.5
# Two readings stand on common ground when they are as good as this; else only readings by one scanner may be ranked.
COLORIMETRIC = 2.0
# A strip that has moved by more than this is no longer what was learnt.
DRIFTED = 2.0


def corrected(reading: Reading, settings: str, use: ScannerUse) -> Reading:
    """The reading with colours by the fittest characterisation, its error as the uncertainty, and notices.

    ``settings`` are those of the scan. Raises BadRequest where the scanner was learnt with other settings only.
    """
    known = use.scanner.characterisations
    if not known:
        return reading
    usable = [one for one in known if one.settings == settings]
    if not usable:
        raise BadRequest(
            f'the scanner "{use.scanner.name}" was learnt with {known[-1].settings}, this scan has {settings}',
            "scan with the settings it was learnt with, or learn it anew: tackside scanner learn",
        )
    chosen = max(usable, key=lambda one: _fitness(one, use))
    lab = apply(chosen.model, np.array([patch.lab for patch in reading.patches]))
    patches = tuple(
        patch.model_copy(update={"lab": tuple(float(value) for value in row)})
        for patch, row in zip(reading.patches, lab, strict=True)
    )
    parts, notices = _parts(chosen, use)
    drift = (
        drift_of(chosen, reading.patches) if chosen.stock == use.stock and chosen.inks == use.inks else None
    )
    if drift is not None and drift > DRIFTED:
        parts.append(drift / 2)
        notices.append(
            f"The control strip reads {drift:.1f} ΔE00 off what it was when the scanner was learnt: "
            "the scanner or the print "
            f"has changed. Scan the sheet it was learnt from again: tackside scanner check {use.scanner.name} FILE."
        )
    de00 = float(np.sqrt(stated(chosen) ** 2 + sum(part**2 for part in parts)))
    common = "colorimetric" if de00 <= COLORIMETRIC else f"scan | scanner {use.scanner.name} | {settings}"
    trust = reading.uncertainty.model_copy(
        update={"de00": round(de00, 2), "basis": _basis(chosen, use), "comparable_with": common}
    )
    return reading.model_copy(
        update={
            "patches": patches,
            "uncertainty": trust,
            "device": reading.device or use.scanner.name,
            "notices": (*reading.notices, *notices),
        }
    )


def stated(chosen: Characterisation) -> float:
    """One standard uncertainty so wide that twice it covers 95 % of the patches left out in cross-validation."""
    return float(np.sqrt(max(chosen.de00_rms, chosen.de00_p95 / 2) ** 2 + REPEATED**2))


def _fitness(one: Characterisation, use: ScannerUse) -> tuple[bool, bool, bool, bool, float]:
    return (
        one.way == "own-inks",
        one.inks == use.inks,
        one.surface == use.surface,
        one.stock == use.stock,
        one.learned_at.timestamp(),
    )


def _parts(chosen: Characterisation, use: ScannerUse) -> tuple[list[float], list[str]]:
    """What this use adds to the uncertainty, and what there is to say about it."""
    if chosen.way == "target":
        return [OF_A_TARGET], [
            "The scanner was characterised on a photographic target: print inks reflect otherwise "
            "and may look alike to it "
            "that are not. Learn it on a measured sheet of your own."
        ]
    parts, notices = [], []
    if chosen.inks != use.inks:
        parts.append(OTHER_INKS)
        notices.append(f"The scanner was characterised on the inks of {chosen.inks}, not of {use.inks}.")
    if chosen.surface != use.surface:
        parts.append(OTHER_SURFACE)
        notices.append(f"The scanner was characterised on a {chosen.surface} surface, not {use.surface}.")
    elif chosen.stock != use.stock:
        parts.append(OTHER_STOCK)
    return parts, notices


def _basis(chosen: Characterisation, use: ScannerUse) -> str:
    way = "your own inks" if chosen.way == "own-inks" else "an ISO 12641 target"
    return (
        f'scanner "{use.scanner.name}", characterised on {way} ({chosen.inks} on {chosen.stock}, '
        f"{chosen.patches} patches, "
        f"{chosen.model.kind} regression): cross-validated error, median {chosen.de00_median:.1f} ΔE00"
    )
