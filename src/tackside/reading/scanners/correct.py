"""A reading's colours by what is known of its scanner, and how far they can then be trusted."""

from __future__ import annotations

import numpy as np

from tackside.errors import BadRequest
from tackside.messages.message import Message
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
            "scanner.other-settings", scanner=use.scanner.name, known=known[-1].settings, settings=settings
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
        notices.append(Message("scanner.strip-moved", scanner=use.scanner.name, de00=drift))
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


def _parts(chosen: Characterisation, use: ScannerUse) -> tuple[list[float], list[Message]]:
    """What this use adds to the uncertainty, and what there is to say about it."""
    if chosen.way == "target":
        return [OF_A_TARGET], [Message("scanner.learnt-on-target")]
    parts, notices = [], []
    if chosen.inks != use.inks:
        parts.append(OTHER_INKS)
        notices.append(Message("scanner.other-inks", known=chosen.inks, inks=use.inks))
    if chosen.surface != use.surface:
        parts.append(OTHER_SURFACE)
        notices.append(Message("scanner.other-surface", known=chosen.surface, surface=use.surface))
    elif chosen.stock != use.stock:
        parts.append(OTHER_STOCK)
    return parts, notices


def _basis(chosen: Characterisation, use: ScannerUse) -> Message:
    return Message(
        f"uncertainty.scanner-{chosen.way}",
        scanner=use.scanner.name,
        inks=chosen.inks,
        stock=chosen.stock,
        patches=chosen.patches,
        model=Message(f"scanner.model-{chosen.model.kind}"),
        de00=chosen.de00_median,
    )
