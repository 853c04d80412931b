"""One photograph of a new print beside a known one, read by what holds relative to the known one."""
