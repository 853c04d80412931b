"""The report's pages and what stands on them."""
