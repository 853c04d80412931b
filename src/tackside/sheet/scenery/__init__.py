"""A harbour at evening that exists only as numbers: sky, shore, water, leaves and a still life in front."""
