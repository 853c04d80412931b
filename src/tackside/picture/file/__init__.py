"""A picture's file opened with suspicion, and its pixels at size."""
