"""Cards, runs, papers, printing and reports."""
