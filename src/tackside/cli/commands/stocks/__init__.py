"""Commands about card stocks and printers."""
