"""Where prints fall on the sheet, from trials, and what output needs to fall where it is wanted."""
