"""Fastener strength, tightening order, wrench choice, sealants: pure functions on plain values."""
