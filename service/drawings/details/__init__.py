"""Stair, ledger and bracing details."""
