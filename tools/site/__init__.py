"""The documentation as a site: built from docs/, its pictures taken of the program at work on the invented studio."""
