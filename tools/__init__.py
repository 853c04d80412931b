"""What keeps the project's own papers true; no part of the package."""
