"""Commands about one test print, from sheet to report."""
