"""Commands of the shop, beside those that Django brings."""
