"""A phone's page: what keeps it from being opened or from taking a picture."""

from tackside.messages.catalogue import Fault

TEXTS = {
    "phone.no-such-address": Fault(
        "{address} is no address of this computer on a local network",
        "join the network that the phone is in, and choose its address",
    ),
    "phone.cannot-listen": Fault(
        "the phone's page cannot be opened at {address} ({reason})",
        "choose another address, or open it again",
    ),
    "phone.beside-itself": Fault(
        "a print cannot lie beside itself", "choose another print, one that was read"
    ),
    "phone.wrong-password": Fault(
        "that is not the password", "type the six letters and figures on the computer's screen"
    ),
    "phone.at-work": Fault(
        "the picture before this one is still being worked on", "wait a moment and try again"
    ),
    "phone.stopped": Fault("the reading was stopped", "send the picture again"),
}
