"""Named sizes of sheets, cards and envelopes, and the page size to type in the driver."""
