"""What can be said, as data: a code and typed values; worded only where it is shown, for whoever reads it there."""
