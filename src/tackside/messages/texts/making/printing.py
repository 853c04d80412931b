"""Jobs on a printer that did not come to their end."""

from tackside.messages.catalogue import Fault, Where

_FIX = Where(
    terminal="see to the printer, count what came out (tackside run count {run} {batch}), then send again",
    page="see to the printer, count what came out on the page of the run, then send again",
)

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
    "printing.no-reason": "no reason given",
}
