"""What was counted at the printer: sheets, cartridges."""

from tackside.messages.catalogue import Fault, Where

_RIGHT = Where(
    terminal="check the number; if it is right, add --yes",
    page="check the number; if it is right, count it all the same",
)

TEXTS = {
    "count.beyond-batch": Fault(
        "batch {batch} would have {sheets} good sheets, and {ordered} are ordered", _RIGHT
    ),
    "count.beyond-card": Fault("{card} would have {sheets} good sheets, and {ordered} are ordered", _RIGHT),
    "count.type-yes": "Type yes to count them all the same:",
    "count.nothing": Fault(
        "nothing was counted",
        Where(
            terminal="give --good, --spoiled or --setup, 1 or more",
            page="give the good, spoiled or set-up sheets, 1 or more",
        ),
    ),
    "count.no-such-cartridge": Fault(
        "a cartridge of {ml:g} ml cannot be",
        Where(terminal="give what the cartridge says, as --ml 14", page="give what the cartridge says"),
    ),
    "count.ink-without-a-name": Fault(
        "an ink without a name cannot be noted",
        Where(terminal="give --changed cyan", page="give the ink's name"),
    ),
}
