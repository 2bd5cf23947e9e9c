"""Proof by refinement: a job of few operations, solved exactly, that takes in what its order lacks."""
