"""The bundle for people without Python: what `python3 do.py bundle` does."""
