"""What stands on a page by itself where the workbench, opened by a double click, does not come up."""

from tackside.messages.catalogue import Entry, Fault

TEXTS: dict[str, Entry] = {
    "desktop.title": "Tackside did not open",
    "desktop.silent": Fault(
        "Tackside is open already, but does not answer",
        "wait a minute and open it again; if that does not help, sign out of the computer and in again",
    ),
    "desktop.own-fault": Fault(
        "this is a fault of Tackside itself ({kind})",
        "open it again; if it comes back, send the file {file} to the project",
    ),
}
