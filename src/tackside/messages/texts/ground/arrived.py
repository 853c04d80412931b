"""Scans that came with no word of which trial they belong to."""

from tackside.messages.catalogue import Fault, Where

TEXTS = {
    "arrived.no-tag": Fault(
        "{file} shows no tag that can be read",
        Where("name its trial: tackside read TRIAL FILE", "open its trial, and drop the scan there"),
    ),
    "arrived.instrument-file": Fault(
        "{file} is an instrument file, which does not say its trial",
        Where("name it: tackside read TRIAL FILE", "open its trial, and drop the file there"),
    ),
    "arrived.several": Fault(
        "{count} could not be read: {faults:lines}",
        "all others are read and judged; see to these, and bring them again",
    ),
    "arrived.unknown-trial": Fault(
        "{file} shows the sheet of trial {trial}, which is not on this bench",
        Where("choose the bench that it was made on with --bench", "open the bench that it was made on"),
    ),
}
