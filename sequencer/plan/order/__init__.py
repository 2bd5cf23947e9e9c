"""An order is asked for, found, tidied and replayed."""
