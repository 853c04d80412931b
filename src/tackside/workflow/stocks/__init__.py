"""Jobs about stocks and printers: kept, asked, found, handed on."""
