"""One module a kind of record: how it is kept, found and listed."""
