"""Jobs about prints that come straight from the scanner."""
