"""What an address asks for."""
