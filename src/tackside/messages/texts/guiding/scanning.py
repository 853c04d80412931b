"""Scanning from here: a scanner looked for, asked, waited for, and what it gave."""

from tackside.messages.catalogue import Entry, Fault, Where

_OFF_AND_ON = "switch the scanner off and on, then scan again"
_OWN_PROGRAM = Where(
    "scan with the scanner's own program, corrections off, then tackside read FILE",
    "scan with the scanner's own program, corrections off, and drop the file here",
)
_FIND = Where("see what is there with tackside scan --list", "look for scanners")
_AGAIN = "scan again"

TEXTS: dict[str, Entry] = {
    # Which scanner.
    "scanning.which-scanner": Fault(
        "no scanner was used from here yet",
        Where(
            "see what is there with tackside scan --list, then tackside scan --from ADDRESS",
            "look for scanners, and choose one",
        ),
    ),
    "scanning.no-address": Fault(
        '"{address}" is neither a scanner that was used before nor a scanner\'s address',
        Where(
            "write it as http://scanner.local/eSCL, or see what is there with tackside scan --list",
            "write it as http://scanner.local/eSCL, or look for scanners",
        ),
    ),
    "scanning.not-nearby": Fault(
        "the scanner at {scanner} does not stand on this computer's own network, and is not called from a page",
        "choose a scanner on your network",
    ),
    "scanning.not-a-scanning-port": Fault(
        "{scanner} leads to port {port}, where no scanner listens",
        "leave the port out, or write the scanner's own",
    ),
    "scanning.name-not-known": Fault(
        "nothing on your network is called by the name in {scanner}",
        Where(
            "see what is there with tackside scan --list, or write the address in figures",
            "look for scanners, or type the address in figures",
        ),
    ),
    "scanning.cannot-listen": Fault(
        "this computer can't look for scanners ({reason})",
        Where("name the scanner: tackside scan --from ADDRESS", "type the scanner's address"),
    ),
    "scanning.not-so-long": Fault(
        "looking for scanners for {seconds:g} s is not possible",
        "give more than 0 and at most {most:g} seconds",
    ),
    "scanning.no-ppi": Fault("a reading is scanned at 300 or 600 ppi, not at {ppi}", "choose one of the two"),
    "scanning.asked-long-ago": Fault(
        "this scan was asked for so long ago that another sheet may lie on the glass", "press Scan again"
    ),
    # What it can do.
    "scanning.no-scanner-there": Fault("what answers at {scanner} is no scanner that speaks eSCL", _FIND),
    "scanning.bad-document": Fault(
        "the scanner at {scanner} describes itself in a document that cannot be trusted", _OWN_PROGRAM
    ),
    "scanning.no-glass": Fault(
        "the scanner at {scanner} has no flatbed glass, and a card should not go through a feeder",
        "use a flatbed scanner",
    ),
    "scanning.odd-glass": Fault(
        "the scanner at {scanner} gives its glass a size that no flatbed has", _OWN_PROGRAM
    ),
    "scanning.no-colour": Fault("the scanner {scanner} offers no colour scan", "use another scanner"),
    "scanning.no-format": Fault("the scanner at {scanner} offers no TIFF, PNG, PDF or JPEG", _OWN_PROGRAM),
    "scanning.too-coarse": Fault(
        "the scanner's finest resolution is {finest} ppi, and a sheet needs {least} or more",
        "use another scanner",
    ),
    # The way to it.
    "scanning.silent": Fault(
        "the scanner at {scanner} does not answer", "see that it is switched on and on your network"
    ),
    "scanning.not-reached": Fault(
        "cannot reach the scanner at {scanner} ({reason})",
        "see that it is switched on and on your network, and check its address",
    ),
    "scanning.broke-off": Fault(
        "the connection to {scanner} was cut during the scan ({reason})",
        "see that it is still on, then scan again",
    ),
    "scanning.redirected": Fault(
        "the scanner at {scanner} sends us elsewhere, to {leads}, where nothing is asked for",
        Where(
            "if that is the scanner's own address, name it with --from",
            "if that is the scanner's own address, type it",
        ),
    ),
    "scanning.not-allowed": Fault(
        "the scanner at {scanner} does not let this computer scan",
        "allow scanning from computers, without a password, in the scanner's settings",
    ),
    "scanning.other-certificate": Fault(
        "the scanner at {scanner} shows another certificate than the last time: it was reset, or is another machine",
        Where(
            "if you know why, scan with --new-certificate",
            "if you know why, tick that its certificate is new, and scan again",
        ),
    ),
    "scanning.settings-refused": Fault(
        "the scanner at {scanner} refuses settings that it offers (HTTP {status})", _OWN_PROGRAM
    ),
    "scanning.http-status": Fault("the scanner at {scanner} answers with HTTP status {status}", _OFF_AND_ON),
    "scanning.no-job": Fault(
        "the scanner at {scanner} took the job and does not say where it is", _OFF_AND_ON
    ),
    # Where a person has to see to it.
    "scanning.busy": Fault(
        "the scanner {scanner} is busy with something else", "wait until it has finished, then scan again"
    ),
    "scanning.never-ready": Fault("the scanner {scanner} began and never gave a picture", _OFF_AND_ON),
    "scanning.cover-open": Fault("the cover of the scanner {scanner} is open", "close it, then scan again"),
    "scanning.jammed": Fault(
        "paper is jammed in the scanner {scanner}", "clear it as its maker says, then scan again"
    ),
    "scanning.paused": Fault(
        "the scanner {scanner} is paused", "press its own button to go on, then scan again"
    ),
    "scanning.lamp": Fault(
        "the lamp of the scanner {scanner} has failed", "have it repaired, or use another scanner"
    ),
    "scanning.down": Fault("the scanner {scanner} says that it is out of order", "see what its display says"),
    "scanning.stopped": Fault(
        "the scan was stopped, and nothing of it is kept", "scan again when you are ready"
    ),
    # What it gave.
    "scanning.no-picture": Fault(
        "the scanner {scanner} took the job and has no picture of it",
        "lay the sheet on the glass, then scan again",
    ),
    "scanning.endless": Fault("the scanner {scanner} sends more than its glass can hold", _OFF_AND_ON),
    "scanning.too-slow": Fault(
        "the scanner {scanner} sends so slowly that the scan would never end",
        "move it nearer to the router or connect it by cable, then scan again",
    ),
    "scanning.no-picture-file": Fault("what the scanner {scanner} sent is no picture of a scan", _OFF_AND_ON),
    "scanning.cut-short": Fault("the scanner {scanner} sent a picture that breaks off", _AGAIN),
    "scanning.came-grey": Fault("the scanner {scanner} sent a grey picture for a colour one", _OWN_PROGRAM),
    "scanning.came-too-coarse": Fault(
        "the scanner {scanner} sent {ppi} ppi where {asked} were asked for, too coarse to read", _OWN_PROGRAM
    ),
    "scanning.contradicts": Fault(
        "the scanner {scanner} says {says} ppi, and its picture has the size of {shows}: lengths would be read wrong",
        Where(
            "scan with the other resolution (--ppi 300 or 600), or with the scanner's own program",
            "scan with the other resolution, or with the scanner's own program",
        ),
    ),
    "scanning.odd-pdf": Fault("the scanner {scanner} sent a PDF that is not one plain picture", _OWN_PROGRAM),
    # Through SANE.
    "scanning.no-tag": Fault(
        "no sheet's tag can be read on the glass",
        Where(
            "lay the sheet into the corner, print down, and scan again; or name its trial: tackside scan TRIAL",
            "lay the sheet into the corner, print down, and scan again; or scan it from its trial's page",
        ),
    ),
    "scanning.no-sane": Fault(
        "scanimage, SANE's own command, is not installed here",
        "install it (the package is often called sane-utils), or name a scanner of the network",
    ),
    "scanning.sane-not-there": Fault("SANE knows no scanner called {scanner}", _FIND),
    "scanning.sane-not-listed": Fault(
        "SANE on this computer does not list the scanner {scanner}, and no other is scanned from a page",
        _FIND,
    ),
    "scanning.sane-broke-off": Fault(
        "SANE lost the scanner {scanner} during the scan",
        "see that it is on and its cable sits, then scan again",
    ),
    "scanning.sane-says": Fault(
        "SANE cannot scan from {scanner} ({reason})", "see that it is on and that no other program uses it"
    ),
    # Where it is not what was asked for.
    "scanning.no-resolution": "The scanner's file does not say its resolution; it is told from the sheet's marks alone.",
    "scanning.other-ppi": "Scanned at {ppi} ppi, though {asked} were asked for.",
    "scanning.other-size": (
        "The scanner gave {width} × {height} mm of its glass, though {asked_width} × {asked_height} mm were asked for."
    ),
    "scanning.fewer-bits": "The scan holds {bits} bits a channel, though {asked} were asked for: deep tones are told less surely.",
    "scanning.asked-for-less": "The scanner refused settings that it offers, and was asked with fewer: what it corrects is its own choice.",
    "scanning.jpeg-only": "The scanner offers only JPEG, which loses detail: lines, edges and grain are told less surely.",
    "scanning.jpeg-instead": "The scanner gave a JPEG, which loses detail, though another kind of file was asked for.",
    # Many sheets, one after another.
    "scanning.next-sheet": "Next sheet on the glass: press Enter. No more: type q and Enter.",
    "scanning.try-again": "Press Enter to scan again, or type q and Enter.",
    "scanning.one-done": "{trial}, {stock}: {grade}",
    "scanning.none-around": Where(
        "No scanner announces itself. Is it on, and on the same network? Else: tackside scan --from ADDRESS",
        "No scanner announces itself. Is it on, and on the same network? Else type its address.",
    ),
    "scanning.made": "Scanned from here with {label}.",
}
