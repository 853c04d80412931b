"""The card file: design, loading, templates, variables."""
