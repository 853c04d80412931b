"""Why work in the background failed."""

from tackside.messages.catalogue import Entry, Fault

_SMALLER = "try a smaller file, or a lower resolution"

TEXTS: dict[str, Entry] = {
    "job.unknown": Fault("there is no job '{job}'", "see the list of jobs"),
    "job.unknown-state": Fault("the bench holds a job in the state '{state}'", "install the newer version"),
    "job.unknown-kind": Fault("this version knows no job '{kind}'", "install the newer version"),
    "job.stopped-twice": Fault(
        "the program stopped while it worked on this, twice",
        "ask for it again; if it stops again, try a smaller file",
    ),
    "job.worker-out-of-reach": Fault("the worker could not be reached", "ask for it again"),
    "job.worker-died": Fault(
        "the worker ended without an answer, mostly for want of memory or time", _SMALLER
    ),
    "job.too-long": Fault("it took longer than a job may take", _SMALLER),
    "job.out-of-memory": Fault("it needs more memory than a job may have", _SMALLER),
}
