"""Where the sheet lies in a scan, and where the print fell on it."""
