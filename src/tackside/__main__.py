"""``python -m tackside``."""

import sys

from tackside.cli.main import main

sys.exit(main())
