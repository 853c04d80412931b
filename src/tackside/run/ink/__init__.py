"""The ink that sheets take."""
