"""The doors of the workshop: pages and an interface over HTTP, thin over the use cases, and the guards before them."""
