"""How a sheet folds into a card: ways to fold, panels, which way up contents stand, margins as folded."""
