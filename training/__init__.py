"""The study of causes: randomised virtual prints with a known fault, judged, and counted."""
