"""Faults of input whose words come from elsewhere, such as a printer's own answer."""

from tackside.messages.catalogue import Fault

TEXTS = {"said.fault": Fault("{what}", "{fix}")}
