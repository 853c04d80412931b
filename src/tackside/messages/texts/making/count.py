"""What was counted at the printer: sheets, cartridges."""

from tackside.messages.catalogue import Fault, Where

TEXTS = {
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
