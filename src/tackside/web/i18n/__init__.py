"""Languages, words, units: how things are said to one person."""
