"""Several prints that share a printer and its settings, judged together: one fault of the path, each card by itself."""
