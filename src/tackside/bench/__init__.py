"""All records and files of one user or studio, in one folder."""
