"""The demo: an invented studio, four invented cards, an invented printer, and the virtual press."""
