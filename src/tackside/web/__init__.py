"""How a person reaches Tackside by browser: pages, forms, jobs in the background, and an HTTP API beside them."""

from tackside.web.app import create_app
from tackside.web.workbench import Options, Workbench

__all__ = ["Options", "Workbench", "create_app"]
