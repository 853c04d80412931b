"""A fault as the JSON of the workbench has it."""

from __future__ import annotations

from typing import Any

from tackside.messages.message import Message, plain_data
from tackside.messages.place import Place
from tackside.messages.wording import TERMINAL


def fault_document(fault: Message, place: Place | None) -> dict[str, Any]:
    """``code`` and ``values``, English ``what`` and ``mend``, and the ``place`` at fault, null where there is none."""
    return {
        **fault.as_data(),
        "what": TERMINAL.what(fault),
        "mend": TERMINAL.fix(fault),
        "place": plain_data(place),
    }
