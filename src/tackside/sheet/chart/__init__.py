"""The sheet for a profile: which colours, in what order, in rows on how many pages."""
