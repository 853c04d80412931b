"""Work that is spread over processes or a cluster."""

from tackside.messages.catalogue import Entry, Fault, Where

TEXTS: dict[str, Entry] = {
    "task.workers-died": Fault(
        "workers died {times} times over the same work",
        Where(
            "close other programs, or use fewer --workers; what was finished is kept",
            "close other programs, then try again; what was finished is kept",
        ),
    ),
    "task.no-cluster-package": Fault(
        "a cluster needs the package distributed", "install Tackside again with its part [cluster]"
    ),
    "task.no-cluster": Fault(
        "no cluster answers at {address}", "check the address, and that its scheduler runs"
    ),
    "task.cluster-lost": Fault(
        "the cluster at {address} went away, or its workers died over the same work",
        "look at their logs, then run this again; what was finished is kept",
    ),
    "task.workers-without-tackside": Fault(
        "workers at {address} do not have Tackside", "install {version} there"
    ),
    "task.no-workers": Fault("the cluster at {address} has no workers", "start some, then run this again"),
    "task.other-versions": Fault("workers at {address} run Tackside {others}", "bring all to {version}"),
}
