"""A phone in place of a scanner: the one page that it sees, and the door that is open for it while a person says so."""
