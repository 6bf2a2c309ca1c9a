"""The stockroom: parts, the parts ledger, orders, parts fitted."""
