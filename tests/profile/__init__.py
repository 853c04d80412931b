# ruff: noqa: A005  (named after the floor that it tests)
