"""A printer that speaks IPP: asked, sent to, and what it does not say or cannot be asked."""

from tackside.messages.catalogue import Entry, Fault, Plural, Where

_OFF_AND_ON = "switch it off and on"
_DISPLAY = "see what the printer's display says"
_DRIVER = Where(
    "print by its driver: tackside run instructions", "print by its driver, as its instruction card says"
)
_FIND = Where("see its address with tackside printer find", "check its address")
_NONSENSE = Where(
    "switch the printer off and on; if it stays so, print by its driver (tackside run instructions)",
    "switch the printer off and on; if it stays so, print by its driver",
)
_LATER = "wait a little, then send again"
_ALLOW = "allow it in the printer's settings"
_NO_PASSWORD = "allow printing without a password on your own network"

TEXTS: dict[str, Entry] = {
    # The way to the printer.
    "ipp.no-address": Fault('"{uri}" is no printer\'s address', "write it as ipp://printer.local/ipp/print"),
    "ipp.not-nearby": Fault(
        "the printer at {uri} does not stand on this computer's own network, and is not called from a page",
        "type the address of a printer on your network, as ipp://printer.local/ipp/print",
    ),
    "ipp.not-a-printing-port": Fault(
        "{uri} leads to port {port}, where no printer listens",
        "leave the port out, or write the printer's own: 631 is usual",
    ),
    "ipp.name-not-known": Fault(
        "nothing on your network is called by the name in {uri}",
        Where(
            "see its address with tackside printer find", "look for printers, or type the address in figures"
        ),
    ),
    "ipp.silent": Fault(
        "the printer at {uri} does not answer", "see that it is switched on and on your network"
    ),
    "ipp.not-reached": Fault(
        "cannot reach the printer at {uri} ({reason})",
        "see that it is switched on and on your network, and check its address",
    ),
    "ipp.http-password": Fault(
        "the printer at {uri} asks for a name and a password, which Tackside does not send",
        "allow printing without one on your own network",
    ),
    "ipp.http-forbidden": Fault("the printer at {uri} does not let this computer print", _ALLOW),
    "ipp.http-nothing-there": Fault("the printer at {uri} has no printer at that address", _FIND),
    "ipp.http-encrypted-only": Fault(
        "the printer at {uri} wants an encrypted connection", "write ipps:// in place of ipp://"
    ),
    "ipp.http-status": Fault("the printer at {uri} answers with HTTP status {status}", "check its address"),
    "ipp.endless": Fault("the printer at {uri} answers without end", _OFF_AND_ON),
    "ipp.not-ipp": Fault(
        "what answers at {uri} is no printer that speaks IPP",
        Where("see addresses with tackside printer find", "check its address"),
    ),
    "ipp.other-answer": Fault(
        "the printer answers another question than it was asked", "switch it off and on, then try again"
    ),
    "ipp.not-so-long": Fault("{seconds:g} seconds cannot be listened for", "give between 1 and 120"),
    "ipp.cannot-listen": Fault(
        "cannot listen for printers ({reason})",
        Where(
            "connect to the network, or name the printer: tackside printer ask ipp://ADDRESS/ipp/print",
            "connect to the network, or type the printer's address",
        ),
    ),
    # An answer that is none.
    "ipp.breaks-off": Fault("the printer's answer makes no sense: it breaks off in the middle", _NONSENSE),
    "ipp.attribute-outside-groups": Fault(
        "the printer's answer makes no sense: an attribute outside any group", _NONSENSE
    ),
    "ipp.negative-length": Fault("the printer's answer makes no sense: a length below nothing", _NONSENSE),
    "ipp.value-without-attribute": Fault(
        "the printer's answer makes no sense: a further value with no attribute before it", _NONSENSE
    ),
    "ipp.collection-not-begun": Fault(
        "the printer's answer makes no sense: a collection that ends before it begins", _NONSENSE
    ),
    "ipp.collections-too-deep": Fault(
        "the printer's answer makes no sense: collections without end", _NONSENSE
    ),
    "ipp.collection-not-ended": Fault(
        "the printer's answer makes no sense: a collection that does not end", _NONSENSE
    ),
    "ipp.member-with-a-name": Fault(
        "the printer's answer makes no sense: a name where a collection's member has none", _NONSENSE
    ),
    "ipp.member-without-value": Fault(
        "the printer's answer makes no sense: a collection's member without a value", _NONSENSE
    ),
    "ipp.value-without-name": Fault(
        "the printer's answer makes no sense: a collection's value without a name", _NONSENSE
    ),
    "ipp.text-longer-than-said": Fault(
        "the printer's answer makes no sense: a text longer than it says", _NONSENSE
    ),
    "ipp.wrong-length": Fault(
        "the printer's answer makes no sense: {found} bytes where {wanted} belong", _NONSENSE
    ),
    "ipp.not-utf-8": Fault("the printer's answer makes no sense: text that is not UTF-8", _NONSENSE),
    "ipp.job-unknown": Fault(
        "the printer does not say what became of the job", "look at its display, and count what came out"
    ),
    # A refusal, by its status (RFC 8011 appendix B); ``own`` is what the printer adds.
    "ipp.refused": Fault("the printer refuses: {status}", "{status:fix}"),
    "ipp.refused-naming": Fault("the printer refuses: {status} ({attributes})", "{status:fix}"),
    "ipp.refused-saying": Fault("the printer refuses: {status}: {own}", "{status:fix}"),
    "ipp.refused-naming-and-saying": Fault(
        "the printer refuses: {status} ({attributes}): {own}", "{status:fix}"
    ),
    "ipp.status-0400": Fault("it calls the request faulty", _DRIVER),
    "ipp.status-0401": Fault(
        "it does not allow that", "allow printing from this computer in the printer's settings"
    ),
    "ipp.status-0402": Fault("it wants to know who asks", _NO_PASSWORD),
    "ipp.status-0403": Fault("it does not let this computer print", _ALLOW),
    "ipp.status-0404": Fault("that is not possible now", _DISPLAY),
    "ipp.status-0406": Fault(
        "there is no such job or printer",
        Where("check the address with tackside printer find", "check the printer's address"),
    ),
    "ipp.status-0408": Fault("the file is too large for it", "make the card as a smaller file"),
    "ipp.status-040a": Fault("it does not take this kind of file", _DRIVER),
    "ipp.status-040b": Fault(
        "it cannot do what was asked",
        Where("ask it what it can do: tackside printer ask", "ask it what it can do, on its page"),
    ),
    "ipp.status-0500": Fault("it has a fault of its own", _OFF_AND_ON),
    "ipp.status-0501": Fault("it does not know this operation", _DRIVER),
    "ipp.status-0502": Fault("it is not available", _DISPLAY),
    "ipp.status-0503": Fault("it speaks another version of IPP", _DRIVER),
    "ipp.status-0504": Fault("it has a fault", _DISPLAY),
    "ipp.status-0505": Fault("it is short of memory for now", _LATER),
    "ipp.status-0506": Fault("it takes no jobs", "let it accept jobs again at its display"),
    "ipp.status-0507": Fault("it is busy", _LATER),
    "ipp.status-0508": Fault("the job was cancelled", "send it again"),
    "ipp.status-other": Fault("status {code}", _DISPLAY),
    # What is sent.
    "ipp.takes-no-jobs": Fault("{printer} takes no jobs now", "let it accept jobs again at its display"),
    "ipp.nothing-left": Fault(
        "there is nothing left to send",
        Where("count what is missing, or give --sheets", "count what is missing, or say how many sheets"),
    ),
    "ipp.no-format-taken": Fault(
        "{printer} takes neither PDF nor the raster of these cards nor a JPEG at true size over the network",
        _DRIVER,
    ),
    "ipp.sheet-needs-pdf": Fault(
        "{printer} takes no PDF over the network, as a test sheet needs",
        "print the sheet's file by the printer's driver",
    ),
    "ipp.jpeg-too-many-pixels": Fault("{card} as a JPEG has more pixels than {printer} takes", _DRIVER),
    "ipp.jpeg-too-large": Fault(
        "{card} as a JPEG is larger than the {most_kb:,d} kB that {printer} takes", _DRIVER
    ),
    "ipp.no-such-face": Fault(
        "{card} has no such face",
        Where("it has {faces}: give --face 1", "it has {faces}: choose the first"),
    ),
    "ipp.size-only-turned": Fault(
        "the printer does not list a sheet of {size_mm:g} as fed",
        "it lists {turned_mm:g}: feed it the other way",
    ),
    "ipp.size-not-listed": Fault(
        "the printer does not list a sheet of {size_mm:g} as fed", "print by its driver, with a custom size"
    ),
    "ipp.not-borderless": Fault("the printer does not print {size_mm:g} borderless", "print it with margins"),
    "ipp.no-such-paper-type": Fault('the printer knows no paper type "{asked}"', "choose one of {known}"),
    "ipp.names-no-paper-type": Fault(
        'the printer knows no paper type "{asked}"', "leave the choice to the printer: it names none"
    ),
    "ipp.no-such-feed": Fault('the printer knows no feed "{asked}"', "choose one of {known}"),
    "ipp.names-no-feed": Fault(
        'the printer knows no feed "{asked}"', "leave the choice to the printer: it names none"
    ),
    # What the printer cannot be asked, so that the first sheet must be looked at.
    "ipp.no-quality": "Quality {quality} cannot be asked for: the printer prints in its own.",
    "ipp.no-scaling": "{attribute} = {value} cannot be asked of this printer (it must not scale to fit): look at the "
    "first sheet.",
    "ipp.no-colour-mode": "{attribute} = {value} cannot be asked of this printer (it must print in colour): look at "
    "the first sheet.",
    "ipp.no-photograph": "{attribute} = {value} cannot be asked of this printer (it should print as a photograph): "
    "look at the first sheet.",
    "ipp.no-intent": "{attribute} = {value} cannot be asked of this printer (it may use another rendering intent): "
    "look at the first sheet.",
    "ipp.as-jpeg": "The file goes as a JPEG, whose size on paper depends on whether the printer follows the resolution "
    "in the file: measure the first sheet.",
    # A job that was sent.
    "ipp.no-end": "it did not come to an end",
    # A record out of what the printer says of itself.
    "ipp.no-sizes": Fault(
        "the printer does not say what sizes it takes",
        Where("write its record by hand: tackside printer add FILE.toml", "describe the printer by hand"),
    ),
    "ipp.says-nonsense": Fault(
        Plural(
            "what the printer says of itself does not hold together ({count} fault)",
            "what the printer says of itself does not hold together ({count} faults)",
        ),
        Where("write its record by hand: tackside printer add FILE.toml", "describe the printer by hand"),
    ),
    "ipp.gap-caliper": Where(
        "How thick a card each feed takes is not said: add max_caliper_mm from the printer's manual.",
        "How thick a card each feed takes is not said: add the caliper limit from the printer's manual.",
    ),
    "ipp.gap-custom-sizes": "It names single sizes and no custom range: sizes in between may be refused.",
    "ipp.gap-margins": "It does not say its margins: measure them from a printed ruler.",
    "ipp.gap-enlargement": "How far borderless printing enlarges is not said: measure it from a printed ruler.",
    "ipp.gap-inks": Where(
        "It does not name its inks: add inks = {{ kind, count }}.",
        "It does not name its inks: add how many, and which.",
    ),
    "ipp.gap-ink-kind": Where(
        "Whether its inks are dye or pigment is not said: add inks.kind.",
        "Whether its inks are dye or pigment is not said: add it.",
    ),
}
