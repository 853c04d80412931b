"""What pages show, as plain frozen values made from records; the templates hold no logic beyond loops and absence."""
