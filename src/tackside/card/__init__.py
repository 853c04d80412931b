"""One card: design, placement, print-ready output."""
