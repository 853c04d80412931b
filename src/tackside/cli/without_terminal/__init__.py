"""The workbench opened by a double click: no terminal, so what is to be said stands on a page."""
