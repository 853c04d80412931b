"""The virtual printer and its card: numbers to ink, ink to colour."""
