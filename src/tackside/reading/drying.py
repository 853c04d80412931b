"""Prints that were read before they were dry."""

from __future__ import annotations

from tackside.messages.message import Message
from tackside.reading.scan.fitness import ScanFlaw, with_faults
from tackside.records import Reading

# Touch-dry after 5 to 30 minutes, to be measured after 24 hours (docs/sources.md, S58). What a print may
# still change by until then is this project's own estimate.
TOUCH_DRY_HOURS, DRY_HOURS = 1.0, 24.0


def dried(reading: Reading, hours: float | None) -> Reading:
    """The reading with the trust that ``hours`` of drying allow; None: not known, nothing is said."""
    if hours is None or hours >= DRY_HOURS:
        return reading
    if hours < TOUCH_DRY_HOURS:
        fault = ScanFlaw(Message("reading.half-wet", hours=hours), 0.5, 2.5)
        return with_faults(reading.model_copy(update={"notices": (fault.message, *reading.notices)}), [fault])
    note = Message("reading.not-yet-dry", hours=hours)
    trust = reading.uncertainty
    wider = trust.model_copy(update={"de00": round((trust.de00**2 + 0.7**2) ** 0.5, 2)})
    return reading.model_copy(update={"uncertainty": wider, "notices": (*reading.notices, note)})
