"""The window's pages: what the customer opens, and where the shop opens it."""
