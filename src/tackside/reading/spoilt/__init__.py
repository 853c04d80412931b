"""What was done to a scan before it came here: tone, sharpening, smoothing, JPEG, depth, resolution, channels."""
