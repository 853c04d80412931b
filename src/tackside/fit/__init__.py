"""What a printer can do with a stock: feed, margins, panels, fold, envelope."""
