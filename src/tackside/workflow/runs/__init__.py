"""Jobs about runs: planned, kept, counted, sent, and written down on paper."""
