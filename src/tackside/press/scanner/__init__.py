"""The virtual scanner: sheets on a bed become a file's numbers."""
