"""Jobs of the live proof."""
