"""Scans that came with no word of which trial they belong to."""

from tackside.messages.catalogue import Fault

TEXTS = {
    "arrived.no-tag": Fault(
        "{file} shows no tag that can be read", "open its trial, and drop the scan there"
    ),
    "arrived.several-trials": Fault(
        "{file} shows sheets of several trials", "open one of the trials, and drop the scan there"
    ),
}
