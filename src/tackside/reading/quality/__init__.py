"""Print-quality attributes from a located scan, each by its standard's definition and with its uncertainty."""
