"""What came back from printing, many at a time: documents taken apart, each file sorted to its trial by the tag."""
