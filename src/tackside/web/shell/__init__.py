"""What all pages share: navigation, static files, error pages, artifacts."""
