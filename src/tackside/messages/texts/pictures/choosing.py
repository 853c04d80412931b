"""Why no card can be chosen."""

from tackside.messages.catalogue import Fault, Where

_ASK_LESS = Where(
    terminal="ask for less, or read a test sheet of another card",
    page="ask for less, or test another card first",
)

TEXTS = {
    "choosing.nothing-read": Fault(
        "no card on the bench has been read yet",
        Where(
            terminal="print a test sheet and read it (tackside read TRIAL FILE), or name profiles with --profiles",
            page="test a card first: print its sheet and read it back",
        ),
    ),
    "choosing.nothing-wanted": Fault("no card that was read is what you want ({reasons:lines})", _ASK_LESS),
    "choosing.no-card": Fault("there is no card to choose from", _ASK_LESS),
    "choosing.proof-not-written": Fault("a proof cannot be written", "check that the disk has room"),
    "choosing.left-out": "{name}: {why}",
}
