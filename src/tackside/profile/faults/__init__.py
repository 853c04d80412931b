"""What is wrong with a profile against ISO 15076-1, in plain words; what stands in the header, the list, the tags."""

from tackside.profile.faults.fault import Fault
from tackside.profile.faults.find import find_faults

__all__ = ["Fault", "find_faults"]
