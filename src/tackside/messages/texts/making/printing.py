"""Jobs on a printer that did not come to their end."""

from tackside.messages.catalogue import Fault, Where

_FIX = Where(
    terminal="see to the printer, count what came out (tackside run count {run} {batch}), then send again",
    page="see to the printer, count what came out on the page of the run, then send again",
)

_AGAIN = Where("send again: tackside run send {run} {batch}", "send again when all is ready")

TEXTS = {
    "printing.lost": Fault(
        "the job {job} for {document} is no longer heard of ({reasons}), {done} sheets before it are done",
        _FIX,
    ),
    "printing.aborted": Fault(
        "the job {job} for {document} was given up by the printer ({reasons}), {done} sheets before it are done",
        _FIX,
    ),
    "printing.canceled": Fault(
        "the job {job} for {document} was cancelled ({reasons}), {done} sheets before it are done", _FIX
    ),
    "printing.unfinished": Fault(
        "the job {job} for {document} is {state} ({reasons}), {done} sheets before it are done", _FIX
    ),
    "printing.left": Fault(
        "job {job} is left to print",
        Where(
            "see how it is: tackside run show {run}; or cancel it: tackside run cancel {run}",
            "see how it is on the page of the run",
        ),
    ),
    "printing.left-alone": Fault("job {job} is left to print", "to cancel it, see the printer's display"),
    "printing.none-sent": Fault("nothing more was sent", _AGAIN),
    "printing.cut-off": Fault(
        "it was cut off while it was sent, and whether the printer has it is not known",
        "look at the printer's display",
    ),
    "printing.forgotten": Fault(
        "the program ended while it was sent, and whether the printer has it is not known",
        "look at the printer's display",
    ),
    # What to do about a job that stands in the list of a run.
    "printing.do-when-lost": Where(
        "What became of it is not known. Look at the printer's display and cancel it there if it is still listed; count what "
        "came out (tackside run count {run} {batch} --good N); then send what is missing: tackside run send {run} {batch}.",
        "What became of it is not known. Look at the printer's display and cancel it there if it is still listed; count what "
        "came out; then send what is missing.",
    ),
    "printing.do-when-ended": Where(
        "Count what came out (tackside run count {run} {batch} --good N), then send what is missing: tackside run send {run} "
        "{batch}.",
        "Count what came out, then send what is missing.",
    ),
    "printing.do-when-open": Where(
        "It is at the printer. To cancel it: tackside run cancel {run}.", "It is at the printer."
    ),
    "printing.card-when-lost": "What became of it is not known. Look at the printer's display and cancel it there if it is still "
    "listed; then send it again.",
    "printing.card-when-ended": "See to the printer, then send it again.",
    "printing.card-when-open": "It is at the printer.",
    "printing.no-number": Fault(
        "{document} has no number at the printer yet",
        "stop it where it was sent, or cancel it at the printer's display",
    ),
    "printing.changed-since": Fault(
        "the run has changed since you said yes: {sheets} sheets would be sent in place of {confirmed}",
        "ask the printer again",
    ),
    "printing.bare-numbers": Fault(
        "the sheet of {trial} holds bare numbers, and no IPP printer can be asked to leave them alone",
        "print its file by the printer's driver, with colour management off",
    ),
    "printing.nothing-to-cancel": Fault(
        "nothing of this run is at a printer",
        Where("see its jobs: tackside run show {run}", "see its jobs below"),
    ),
    "printing.ask-cancel": "Cancel job {job} at the printer? Type yes to cancel it, anything else to go on; Ctrl-C "
    "leaves it to print.",
    "printing.one-moment": "One moment: the printer is being asked. Press Ctrl-C again to leave at once.",
    "printing.no-reason": "no reason given",
}
