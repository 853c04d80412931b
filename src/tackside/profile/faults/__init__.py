"""What is wrong with a profile against ISO 15076-1, in plain words; what stands in the header, the list, the tags."""
