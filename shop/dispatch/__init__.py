"""Dispatch: parcels in and out, the return slip, collection."""
