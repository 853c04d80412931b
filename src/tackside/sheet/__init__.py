"""Test sheets: patches, blocks, layout, rendering."""
