"""One module a command; each is imported only when it is called, so that ``--help`` starts at once."""
