"""How a person reaches Tackside by browser: pages, forms, jobs in the background, and an HTTP API beside them."""
